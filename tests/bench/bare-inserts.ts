/**
 * The rows that the server wrote, written once more with nothing else done: no form, no signatures, no tree, no
 * reading back, no receipts. The same table with its indexes, as durable, one writer, as many rows in each
 * transaction as the server put into one. What is left is what the database itself takes.
 */
import { join } from 'node:path';
import pg from 'pg';
import { Database } from '#lib/server/database/database.ts';
import type { Place } from '#lib/server/database/database.ts';
import { openSqliteFile } from '#lib/server/database/sqlite-dialect.ts';
import type { LeafTable } from '#lib/server/database/tables.ts';

const COLUMNS = [
  ...(['idx', 'hash', 'kind', 'job_no', 'seq', 'side'] as const),
  ...(['type', 'by', 'at', 'received_at', 'line'] as const),
] satisfies (keyof LeafTable)[];
const NAMES = COLUMNS.map((name) => `"${name}"`).join(', ');
const valuesOf = (leaf: LeafTable) => COLUMNS.map((name) => leaf[name]);

export interface BareTable {
  /** Each group in a transaction of its own. */
  insert(groups: readonly (readonly LeafTable[])[]): Promise<void>;
  count(): Promise<number>;
  close(): Promise<void>;
}

/** @param folder where a file may be made */
export async function bareTable(place: Place, folder: string): Promise<BareTable> {
  return place.kind === 'sqlite' ? inSqlite(folder) : inPostgres(place.address);
}

/** A file of its own, brought up like the server's: the same tables, indexes and settings. */
async function inSqlite(folder: string): Promise<BareTable> {
  const path = join(folder, 'bare.sqlite');
  await (await Database.open({ kind: 'sqlite', file: path })).close();
  const file = openSqliteFile(path);
  const marks = COLUMNS.map(() => '?').join(', ');
  const one = file.prepare(`insert into leaves (${NAMES}) values (${marks})`);
  return {
    insert: (groups) => {
      for (const group of groups) {
        file.exec('begin immediate');
        for (const leaf of group) one.run(...valuesOf(leaf));
        file.exec('commit');
      }
      return Promise.resolve();
    },
    count: () =>
      Promise.resolve(Number(file.prepare('select count(*) as n from leaves').get()?.['n'])),
    close: () => Promise.resolve(file.close()),
  };
}

/** Rows of one statement: PostgreSQL takes 65,535 values in one. */
const ROWS_AT_ONCE = 1000;

/** A second table like the server's, in the same database. */
async function inPostgres(address: string): Promise<BareTable> {
  const client = new pg.Client({ connectionString: address });
  await client.connect();
  await client.query('set synchronous_commit = on');
  await client.query('drop table if exists bare; create table bare (like leaves including all)');
  const textOf = (rows: number): string => {
    const marks = Array.from({ length: rows }, (_, row) => {
      const places = COLUMNS.map((_each, at) => `$${row * COLUMNS.length + at + 1}`);
      return `(${places.join(', ')})`;
    });
    return `insert into bare (${NAMES}) values ${marks.join(', ')}`;
  };
  return {
    insert: async (groups) => {
      for (const group of groups) {
        await client.query('begin');
        for (let at = 0; at < group.length; at += ROWS_AT_ONCE) {
          const some = group.slice(at, at + ROWS_AT_ONCE);
          await client.query(textOf(some.length), some.flatMap(valuesOf));
        }
        await client.query('commit');
      }
    },
    count: async () => {
      const { rows } = await client.query<{ n: string }>('select count(*) as n from bare');
      return Number(rows[0]?.n);
    },
    close: () => client.end(),
  };
}
