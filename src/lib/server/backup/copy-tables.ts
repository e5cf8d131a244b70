/** Copies every table from one database to another, whatever kinds they are, in pieces. */
import { sql } from 'kysely';
import type { Kysely } from 'kysely';
import type { Tables } from '../database/tables.ts';

/** Each table with its key, in an order in which none refers to a later one. */
const TABLES: readonly (readonly [keyof Tables, ...string[]])[] = [
  ['logs', 'no'],
  ['tree', 'id'],
  ['leaves', 'idx'],
  ['tiles', 'level', 'idx'],
  ['checkpoints', 'size'],
  ['jobs', 'no'],
  ['flags', 'no'],
  ['checklists', 'sha256'],
  ['disclosures', 'job_no', 'digest'],
  ['people', 'id'],
  ['devices', 'id'],
  ['keys', 'thumbprint'],
  ['accounts', 'id'],
  ['passkeys', 'id'],
  ['clocks', 'id'],
  ['shares', 'token_hash'],
  ['photos', 'sha256'],
  ['photo_parts', 'sha256', 'start'],
  ['photo_uses', 'sha256', 'job_no'],
  ['looks', 'no'],
  ['office_words', 'no'],
  ['photo_looks', 'sha256'],
  ['screenings', 'demo'],
  ['inspections', 'no'],
  ['keepings', 'no'],
  ['samples', 'no'],
  ['house_limits', 'no'],
];

/** What would let somebody in, or counts only minutes: it does not outlive the server that wrote it. */
const LEFT_BEHIND: readonly (keyof Tables)[] = ['sessions', 'challenges', 'enrolments', 'tries'];

export const COPIED_TABLES: readonly (keyof Tables)[] = TABLES.map(([table]) => table);
export { LEFT_BEHIND };

/** Rows may be photos of 1 MiB, and a statement takes only so many values. */
const ROWS_AT_ONCE = 100;

type Anything = Kysely<Record<string, Record<string, unknown>>>;

/** @param from read inside one transaction, so that what is copied belongs together */
export async function copyTables(
  from: Kysely<Tables>,
  to: Kysely<Tables>,
  progress: (table: string, rows: number) => void = () => {},
): Promise<void> {
  for (const [table, ...key] of TABLES) {
    let last: Record<string, unknown> | undefined;
    for (let copied = 0; ;) {
      const rows = await nextRows(from as unknown as Anything, table, key, last);
      last = rows.at(-1);
      if (last === undefined) break;
      await (to as unknown as Anything).insertInto(table).values(rows).execute();
      copied += rows.length;
      progress(table, copied);
    }
  }
}

function nextRows(
  from: Anything,
  table: string,
  key: readonly string[],
  last: Record<string, unknown> | undefined,
): Promise<Record<string, unknown>[]> {
  const columns = sql.join(key.map((name) => sql.ref(name)));
  let query = from.selectFrom(table).selectAll().orderBy(columns).limit(ROWS_AT_ONCE);
  if (last !== undefined) {
    const values = sql.join(key.map((name) => sql`${last[name]}`));
    query = query.where(sql<boolean>`(${columns}) > (${values})`);
  }
  return query.execute();
}
