/**
 * A restored database may lack what was signed after the backup. Its log is then not gone on with, which
 * would show two trees of one size: a new log begins, whose first leaf names the last checkpoint of the
 * old one, and everything that was restored follows in its old order.
 */
import { base64url, claimedOrigin, leafHash, sameBytes, textOf } from '#lib/core/record/index.ts';
import { openCheckpoint, rootAt } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { NodeKey } from '#lib/crypto/node.ts';
import { sql } from 'kysely';
import type { Database, Rows, Writing } from '../database/database.ts';
import { grownTiles, writeTiles } from '../log/grow-tiles.ts';
import { LogTrouble } from '../log/log-trouble.ts';
import { lastCheckpoint, OrganisationLog, treeOf } from '../log/organisation-log.ts';
import type { OutsideCheckpoint } from '../log/outside-checkpoint.ts';
import { TileShelf } from '../log/tile-shelf.ts';
import { copyTables } from './copy-tables.ts';

export interface Restoring {
  readonly database: Database;
  readonly key: NodeKey;
  readonly outside: OutsideCheckpoint;
  readonly now: () => number;
}

export interface Restored {
  readonly origin: string;
  readonly size: number;
  /** Whether a new log was begun; false when nothing was signed after the backup. */
  readonly newLog: boolean;
}

/**
 * Fills an empty database from a backup, then goes on with its log or begins a new one.
 * @throws Error with one plain sentence when the database is not empty or the keys do not fit
 */
export async function restore(from: Database, into: Restoring): Promise<Restored> {
  const held = await into.database.rows.selectFrom('tree').select('id').executeTakeFirst();
  if (held !== undefined)
    throw new Error(
      'The database holds records already, and was left as it is. Restore into an empty one.',
    );
  await into.database.alone((rows) => copyTables(from.rows, rows));
  return goOn(into);
}

/** The same for a database that somebody has put back by other means. */
export async function goOn(into: Restoring): Promise<Restored> {
  const { database, key, outside, now } = into;
  const present = await presentLog(database.rows);
  if (!sameBytes(present.public_key, key.publicKey))
    throw new Error(
      `The log ${present.origin} was begun with another signing key than the one in the data folder. Put its key file into the data folder first.`,
    );
  const { size } = await treeOf(database.rows);
  const note = await outside.read();
  if (note !== null && (await covers(database.rows, into, note, present.origin, size))) {
    const log = new OrganisationLog({ database, key, outside, origin: present.origin, now });
    return { origin: present.origin, size: (await log.begin()).size, newLog: false };
  }
  const origin = nextOrigin(await newestOrigin(present.origin, note));
  const log = new OrganisationLog({ database, key, outside, origin, now });
  const after = note === null ? ((await lastCheckpoint(database.rows))?.note ?? '') : textOf(note);
  await database.alone((rows) =>
    beginAgain(rows, log, { after: after ?? '', size, no: present.no }),
  );
  return { origin, size: (await log.sign()).size, newLog: true };
}

async function presentLog(rows: Rows) {
  const log = await rows
    .selectFrom('tree')
    .innerJoin('logs', 'logs.no', 'tree.log_no')
    .select(['logs.no', 'logs.origin', 'logs.public_key'])
    .executeTakeFirst();
  if (log === undefined)
    throw new Error('The database holds no log: there is nothing to go on with.');
  return log;
}

/** Does this database still hold everything that the checkpoint outside it covers? */
async function covers(
  rows: Rows,
  { key }: Restoring,
  note: Uint8Array,
  origin: string,
  size: number,
): Promise<boolean> {
  const trusted = [{ name: origin, publicKey: key.publicKey }];
  const opened = await openCheckpoint(note, trusted, nodePrimitives);
  if (!opened.ok || opened.value.size > size) return false;
  const nodes = await new TileShelf().nodesFor(rows, [], opened.value.size);
  return sameBytes(rootAt(opened.value.size, nodes, nodePrimitives), opened.value.root);
}

/** The file outside may know a later log than a backup does. */
async function newestOrigin(origin: string, note: Uint8Array | null): Promise<string> {
  const outside = note === null ? null : claimedOrigin(note);
  return outside !== null && numberOf(outside) > numberOf(origin) ? outside : origin;
}

const numberOf = (origin: string): number => Number(/\/(\d+)$/.exec(origin)?.[1] ?? 0);

function nextOrigin(origin: string): string {
  return origin.replace(/\/\d+$/, '') + `/${numberOf(origin) + 1}`;
}

async function beginAgain(
  rows: Writing,
  log: OrganisationLog,
  old: { readonly after: string; readonly size: number; readonly no: number },
): Promise<void> {
  const { origin, key } = log;
  const body = { after: old.after, key: base64url(key.publicKey), origin, restored: old.size };
  const first = await log.actLeaf('log.begun', body, 'console');
  await moveUp(rows);
  const no = numberOf(origin);
  await rows
    .insertInto('logs')
    .values({ no, origin, public_key: key.publicKey, begun_at: first.at })
    .execute();
  await rows
    .updateTable('tree')
    .set({ log_no: no, size: old.size + 1 })
    .execute();
  await rows
    .insertInto('leaves')
    .values({ ...first, idx: 0, received_at: first.at })
    .execute();
  await rows.deleteFrom('checkpoints').execute();
  await rows.deleteFrom('tiles').execute();
  await growAgain(rows, old.size + 1);
}

/** Every place in the log is one further on. */
async function moveUp(rows: Writing): Promise<void> {
  // In two steps, since no two leaves may share a place on the way.
  await rows
    .updateTable('leaves')
    .set({ idx: sql`-idx - 2` })
    .execute();
  await rows
    .updateTable('leaves')
    .set({ idx: sql`-idx - 1` })
    .execute();
  await rows
    .updateTable('flags')
    .set({ idx: sql`idx + 1` })
    .where('idx', 'is not', null)
    .execute();
  await rows
    .updateTable('keys')
    .set({ since_idx: sql`since_idx + 1`, until_idx: sql`until_idx + 1` })
    .execute();
}

const LEAVES_AT_ONCE = 1000;

async function growAgain(rows: Writing, size: number): Promise<void> {
  const shelf = new TileShelf();
  for (let at = 0; at < size;) {
    const leaves = await rows
      .selectFrom('leaves')
      .select(['idx', 'line'])
      .where('idx', '>=', at)
      .orderBy('idx')
      .limit(LEAVES_AT_ONCE)
      .execute();
    if (leaves[0]?.idx !== at) throw new LogTrouble(`Leaf ${at} is missing in what was restored.`);
    const hashes = leaves.map(({ line }) => leafHash(line, nodePrimitives));
    const tiles = await grownTiles(rows, shelf, at, hashes);
    await writeTiles(rows, tiles);
    for (const tile of tiles) shelf.keep(tile);
    at += leaves.length;
  }
}
