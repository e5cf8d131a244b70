/** The tree, grown again from the leaves as they are stored: tiles and checkpoints are held to it. */
import {
  grown,
  hex,
  NO_EDGE,
  openCheckpoint,
  rootOfEdge,
  sameBytes,
  utf8,
} from '#lib/core/record/index.ts';
import type { Edge, Hash, NoteKey } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import { readTiles } from '../log/tile-shelf.ts';
import { Tile, TILE_WIDTH } from '../log/tile.ts';
import type { Findings, FsckCheckId } from './report.ts';

/** A checkpoint from somewhere, to be compared when the tree has grown to its size. */
export interface ClaimedRoot {
  readonly check: FsckCheckId;
  readonly from: string;
  readonly size: number;
  readonly root: Hash;
}

const CHECKPOINTS_AT_ONCE = 500;

export class TreeCheck {
  readonly #rows: Rows;
  readonly #findings: Findings;
  readonly #trusted: readonly NoteKey[];
  #edge: Edge = NO_EDGE;
  /** The unfinished tile of each level. */
  readonly #open: Tile[] = [];
  #tiles = 0;
  /** Handed in, and of the database, which is read in pieces; both by size. */
  readonly #handed: ClaimedRoot[];
  #stored: ClaimedRoot[] = [];
  #nextCheckpoint: number | null = 0;
  #lastSigned = 0;

  constructor(
    rows: Rows,
    findings: Findings,
    trusted: readonly NoteKey[],
    claims: readonly ClaimedRoot[],
  ) {
    this.#rows = rows;
    this.#findings = findings;
    this.#trusted = trusted;
    this.#handed = [...claims].sort((a, b) => a.size - b.size);
  }

  async begin(): Promise<void> {
    await this.#moreCheckpoints();
    await this.#meet();
  }

  async add(leaf: Hash): Promise<void> {
    this.#edge = grown(this.#edge, leaf, nodePrimitives).edge;
    await this.#push(0, leaf);
    await this.#meet();
  }

  /** Every claim about a tree of just this size. */
  async #meet(): Promise<void> {
    for (const queue of [this.#handed, this.#stored])
      for (let next = queue[0]; next?.size === this.#edge.size; next = queue[0]) {
        this.#compare(next);
        queue.shift();
      }
    if (this.#stored.length === 0) await this.#moreCheckpoints();
  }

  async end(): Promise<void> {
    for (const tile of this.#open) if (tile.width > 0) await this.#compareTile(tile);
    const { count } = await this.#rows
      .selectFrom('tiles')
      .select((is) => is.fn.countAll<number>().as('count'))
      .executeTakeFirstOrThrow();
    if (Number(count) !== this.#tiles)
      this.#findings.fail('tiles', `${count} tiles are stored where ${this.#tiles} belong.`);
    for (const claim of this.#handed) this.#beyond(claim);
    while (this.#stored.length > 0) {
      for (const claim of this.#stored) this.#beyond(claim);
      await this.#moreCheckpoints();
    }
    if (this.#lastSigned < this.#edge.size)
      this.#findings.fail(
        'checkpoints',
        `The last ${this.#edge.size - this.#lastSigned} leaves are under no checkpoint: starting the server signs for what a crash left.`,
      );
  }

  async #push(level: number, hash: Hash): Promise<void> {
    const tile = (this.#open[level] ??= new Tile(level, 0));
    tile.push(hash);
    if (tile.width < TILE_WIDTH) return;
    await this.#compareTile(tile);
    this.#open[level] = new Tile(level, tile.index + 1);
    await this.#push(level + 1, tile.top());
  }

  async #compareTile(tile: Tile): Promise<void> {
    this.#tiles += 1;
    const { level, index } = tile;
    const [stored] = await readTiles(this.#rows, [{ level, index }]).catch(() => []);
    if (stored === undefined) this.#findings.fail('tiles', `${tile.name} is missing or torn.`);
    else if (!sameBytes(stored.bytes(), tile.bytes()))
      this.#findings.fail('tiles', `${tile.name} is not made from the leaves below it.`);
  }

  #beyond({ check, from, size }: ClaimedRoot): void {
    this.#findings.fail(
      check,
      `${from} covers ${size} leaves, and only ${this.#edge.size} are there: the end of the log was taken away, or the database was rolled back.`,
    );
  }

  #compare({ check, from, size, root }: ClaimedRoot): void {
    const own = rootOfEdge(this.#edge, nodePrimitives);
    if (sameBytes(own, root)) return;
    this.#findings.fail(
      check,
      `${from} says that the first ${size} leaves have the root ${hex(root).slice(0, 16)}…, and those stored have ${hex(own).slice(0, 16)}…: an entry among them was changed, added or removed.`,
    );
  }

  /** The next piece; a look for each leaf beyond the last one would cost more than the rest. */
  async #moreCheckpoints(): Promise<void> {
    this.#stored = [];
    if (this.#nextCheckpoint === null) return;
    const stored = await this.#rows
      .selectFrom('checkpoints')
      .select(['size', 'note'])
      .where('size', '>=', this.#nextCheckpoint)
      .orderBy('size')
      .limit(CHECKPOINTS_AT_ONCE)
      .execute();
    const last = stored.at(-1);
    this.#nextCheckpoint = last === undefined ? null : last.size + 1;
    for (const { size, note } of stored) {
      const opened = await openCheckpoint(utf8(note), this.#trusted, nodePrimitives);
      const from = `The stored checkpoint of ${size} leaves`;
      if (!opened.ok) this.#findings.fail('checkpoints', `${from}: ${opened.flaw.says}`);
      else if (opened.value.size !== size)
        this.#findings.fail('checkpoints', `${from} is signed for ${opened.value.size}.`);
      else {
        this.#lastSigned = size;
        this.#stored.push({ check: 'checkpoints', from, size, root: opened.value.root });
      }
    }
    // All of a piece may be bad; the good ones after it still count.
    if (stored.length > 0 && this.#stored.length === 0) await this.#moreCheckpoints();
  }
}
