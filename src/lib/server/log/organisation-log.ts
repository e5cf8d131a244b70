/**
 * The one log of the organisation: a Merkle tree that only grows, its signed checkpoints, receipts.
 *
 * Appending and signing are two transactions. What is signed has been read back from the database and
 * hashed again, on top of the edge of the tree that was signed before. A crash between the two leaves
 * leaves without a checkpoint; whoever comes next signs them too.
 *
 * Invariants: a tree that was signed is never followed by one that is smaller or does not begin with
 * it; the file outside the database knows a checkpoint before anybody else does.
 */
import {
  hex,
  leafHash,
  openCheckpoint,
  rootAt,
  sameBytes,
  signCheckpoint,
  utf8,
} from '#lib/core/record/index.ts';
import type { Hash, NoteKey, OpenedCheckpoint } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { NodeKey } from '#lib/crypto/node.ts';
import type { Database, Rows, Writing } from '../database/database.ts';
import { insertLeaves } from '../database/insert-many.ts';
import type { LeafTable } from '../database/tables.ts';
import { sealAct } from './act.ts';
import type { Act, ActType } from './act.ts';
import { grownTiles, writeTiles } from './grow-tiles.ts';
import { LogTrouble } from './log-trouble.ts';
import type { OutsideCheckpoint } from './outside-checkpoint.ts';
import { readBack, STORED_OTHERWISE } from './read-back.ts';
import type { Tile } from './tile.ts';
import { TileShelf } from './tile-shelf.ts';

/** What is appended; its index comes from the log. */
export type NewLeaf = Omit<LeafTable, 'idx' | 'received_at'>;

export interface SignedTree {
  readonly size: number;
  readonly note: string;
}

/** A signed tree as this process has seen it: enough to grow it further and to hold others to it. */
interface Seen extends SignedTree {
  readonly root: Hash;
}

export interface LogParts {
  readonly database: Database;
  readonly key: NodeKey;
  readonly outside: OutsideCheckpoint;
  readonly origin: string;
  /** Milliseconds since 1970. */
  readonly now: () => number;
}

export class OrganisationLog {
  readonly origin: string;
  readonly key: NodeKey;
  readonly shelf = new TileShelf();
  readonly #database: Database;
  readonly #outside: OutsideCheckpoint;
  readonly #now: () => number;
  #seen: Seen | null = null;
  /** Set once the log may not be signed any more; only a person can mend that. */
  #trouble: LogTrouble | null = null;

  constructor({ database, key, outside, origin, now }: LogParts) {
    this.#database = database;
    this.key = key;
    this.#outside = outside;
    this.origin = origin;
    this.#now = now;
  }

  /** What receipts and checkpoints of this log are verified with. */
  get noteKey(): NoteKey {
    return { name: this.origin, publicKey: this.key.publicKey };
  }

  get trouble(): LogTrouble | null {
    return this.#trouble;
  }

  /**
   * Holds the database to the checkpoint outside it, and signs what a crash left unsigned.
   * @throws LogTrouble when the database holds a smaller or another tree than was signed before
   */
  async begin(): Promise<SignedTree> {
    const note = await this.#outside.read();
    if (note !== null) {
      const kept = await this.#opened(note, `The file ${this.#outside.path}`);
      const { size } = await treeOf(this.#database.rows);
      if (size < kept.size) throw new LogTrouble(rolledBack(size, kept.size));
      await this.#holdTo(kept.size, kept.root);
    }
    return this.sign();
  }

  /**
   * Appends what `work` gives, in one transaction with everything that `work` writes.
   * @param work gets the size of the tree: the index of its first leaf
   */
  async append<T>(
    work: (
      rows: Writing,
      size: number,
    ) => Promise<{ readonly leaves: readonly NewLeaf[]; readonly value: T }>,
  ): Promise<T> {
    if (this.#trouble !== null) throw this.#trouble;
    const done = await this.#database.alone(async (rows) => {
      const { size } = await treeOf(rows);
      const { leaves, value } = await work(rows, size);
      return { value, tiles: await this.appendIn(rows, size, leaves) };
    });
    for (const tile of done.tiles) this.shelf.keep(tile);
    return done.value;
  }

  /** The rows of an append, for a transaction that has the log for itself already. */
  async appendIn(rows: Writing, size: number, leaves: readonly NewLeaf[]): Promise<Tile[]> {
    if (leaves.length === 0) return [];
    const received_at = this.#now();
    const numbered = leaves.map((leaf, at) => ({ ...leaf, idx: size + at, received_at }));
    await insertLeaves(rows, this.#database.kind, numbered);
    const hashes = leaves.map(({ hash }) => hash);
    const tiles = await grownTiles(rows, this.shelf, size, hashes);
    await writeTiles(rows, tiles);
    await rows
      .updateTable('tree')
      .set({ size: size + leaves.length })
      .execute();
    return tiles;
  }

  /**
   * One act of the office or the server, and whatever else it changes, in one transaction.
   * @returns once a checkpoint covers it
   */
  async act(
    type: ActType,
    body: Act['body'],
    by: string,
    alongside: (rows: Writing, idx: number) => Promise<void> = () => Promise.resolve(),
  ): Promise<number> {
    const idx = await this.append(async (rows, size) => {
      const leaf = await this.actLeaf(type, body, by);
      await alongside(rows, size);
      return { leaves: [leaf], value: size };
    });
    await this.sign();
    return idx;
  }

  async actLeaf(type: ActType, body: Act['body'], by: string): Promise<NewLeaf> {
    const at = this.#now();
    const act: Act = { at: new Date(at).toISOString(), body, by, log: this.origin, type, v: 1 };
    const line = await sealAct(act, this.key);
    const hash = leafHash(line, nodePrimitives);
    return { hash, kind: 'act', job_no: null, seq: null, side: null, type, by, at, line };
  }

  /**
   * A checkpoint over everything appended so far: signed now, unless another caller has done it.
   * @throws LogTrouble when what is stored is not what was appended; from then on nothing is signed
   */
  async sign(): Promise<SignedTree> {
    if (this.#trouble !== null) throw this.#trouble;
    try {
      const seen = await this.#database.alone((rows) => this.#sign(rows));
      // Only what was committed: a later caller holds the database to it.
      this.#seen = seen;
      return seen;
    } catch (error) {
      if (error instanceof LogTrouble) this.#trouble = error;
      throw error;
    }
  }

  async #sign(rows: Writing): Promise<Seen> {
    const { size } = await treeOf(rows);
    const last = await lastCheckpoint(rows);
    const seen = last === null ? null : await this.#see(rows, last);
    if (seen !== null && seen.size === size) return seen;
    const root = await readBack(rows, this.shelf, seen ?? { size: 0, root: null }, size);
    const { publicKey, sign } = this.key;
    const signed = await signCheckpoint(
      { origin: this.origin, size, root },
      publicKey,
      sign,
      nodePrimitives,
    );
    if (!signed.ok) throw new LogTrouble(signed.flaw.says);
    this.#outside.write(signed.value);
    await rows
      .insertInto('checkpoints')
      .values({ size, note: signed.value, signed_at: this.#now() })
      .execute();
    return { size, note: signed.value, root };
  }

  /** Takes over a tree that the database says is signed, held to all that was seen before. */
  async #see(rows: Rows, last: SignedTree): Promise<Seen> {
    const before = this.#seen;
    if (before !== null && before.note === last.note) return before;
    const opened = await this.#opened(utf8(last.note), 'The last checkpoint in the database');
    if (opened.size !== last.size) throw new LogTrouble(STORED_OTHERWISE);
    if (before !== null) {
      if (opened.size < before.size) throw new LogTrouble(rolledBack(opened.size, before.size));
      await this.#holdTo(before.size, before.root, rows);
    }
    await this.#holdTo(opened.size, opened.root, rows);
    return { ...last, root: opened.root };
  }

  /** @throws LogTrouble when the stored tree does not begin with the one of this root */
  async #holdTo(size: number, root: Hash, rows: Rows = this.#database.rows): Promise<void> {
    const nodes = await this.shelf.nodesFor(rows, [], size);
    if (!sameBytes(rootAt(size, nodes, nodePrimitives), root))
      throw new LogTrouble(anotherTree(size, root));
  }

  async #opened(note: Uint8Array, what: string): Promise<OpenedCheckpoint> {
    const opened = await openCheckpoint(note, [this.noteKey], nodePrimitives);
    if (opened.ok) return opened.value;
    throw new LogTrouble(
      `${what} is not signed by the key of this log, ${this.origin}: ${opened.flaw.says} Nothing was changed. Is this the data folder and the log key of this database?`,
    );
  }
}

const rolledBack = (size: number, signed: number): string =>
  `The database holds ${size} entries, but a tree of ${signed} was already signed: the database was rolled back or restored from a backup. Nothing was changed and nothing is signed. To go on with this database, begin a new log: stillwire restore.`;

const anotherTree = (size: number, root: Hash): string =>
  `The first ${size} entries of the database are not those that were signed (root ${hex(root).slice(0, 16)}…): entries were changed or removed. Nothing is signed. Run fsck to see what changed, and restore a backup.`;

export async function treeOf(rows: Rows): Promise<{ size: number; log_no: number }> {
  const tree = await rows.selectFrom('tree').select(['size', 'log_no']).executeTakeFirst();
  if (tree === undefined) throw new LogTrouble('The database holds no log.');
  return tree;
}

export async function lastCheckpoint(rows: Rows): Promise<SignedTree | null> {
  const last = await rows
    .selectFrom('checkpoints')
    .select(['size', 'note'])
    .orderBy('size', 'desc')
    .limit(1)
    .executeTakeFirst();
  return last ?? null;
}
