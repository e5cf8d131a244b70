/** PostgreSQL for the query code, and the settings that a durable commit rests on. */
import { PostgresDialect, sql } from 'kysely';
import type { Kysely } from 'kysely';
import pg from 'pg';

const MOST_CONNECTIONS = 10;
const INT8 = 20;

/** @param address `postgres://…`; `trouble` hears of connections that break while nobody uses them. */
export function postgresDialect(address: string, trouble: (error: Error) => void): PostgresDialect {
  const pool = new pg.Pool({
    connectionString: address,
    max: MOST_CONNECTIONS,
    connectionTimeoutMillis: 10_000,
    application_name: 'stillwire',
    // A server may have been set to answer before the disk has it; we do not.
    options: '-c synchronous_commit=on -c timezone=UTC',
    types: { getTypeParser },
  });
  pool.on('error', trouble);
  pool.on('connect', (client) => client.on('error', trouble));
  return new PostgresDialect({ pool });
}

/** All our whole numbers are below 2^53. */
const getTypeParser = ((oid: number, format?: 'text' | 'binary') =>
  oid === INT8 ? Number : pg.types.getTypeParser(oid, format)) as typeof pg.types.getTypeParser;

/** One sentence if the server would answer before a commit is durable; null when it would not. */
export async function whyNotDurable(rows: Kysely<unknown>): Promise<string | null> {
  for (const name of ['fsync', 'full_page_writes', 'synchronous_commit']) {
    const shown = await sql<{ value: string }>`select current_setting(${name}) as value`.execute(
      rows,
    );
    const value = shown.rows[0]?.value;
    if (value !== 'on')
      return `PostgreSQL runs with ${name} = ${value}, so an entry that was answered could be lost in a power cut. Set it to "on" and start again.`;
  }
  return null;
}
