/**
 * SQLite for the query code: the one that comes with Node, so nothing has to be built.
 *
 * WAL with `synchronous=FULL`: a commit that was answered survives a power cut.
 */
import { DatabaseSync } from 'node:sqlite';
import type { StatementSync } from 'node:sqlite';
import { SqliteAdapter, SqliteDialect } from 'kysely';
import type { SqliteDatabase, SqliteStatement } from 'kysely';

/** Before this one, two connections that write and checkpoint at once could corrupt the file. */
const LEAST_VERSION = '3.51.3';
/** Batches of different lengths are different statements; more than these are parsed anew. */
const MOST_STATEMENTS = 400;

const SETTINGS = [
  'pragma journal_mode = wal',
  'pragma synchronous = full',
  'pragma foreign_keys = on',
  'pragma busy_timeout = 5000',
  'pragma trusted_schema = off',
  'pragma cell_size_check = on',
  'pragma cache_size = -65536',
  // The edge of the tree is written again with every batch: moved into the file less often.
  'pragma wal_autocheckpoint = 4000',
];

/** Opens or makes the file with the settings that durability rests on, and checks that they took. */
export function openSqliteFile(path: string): DatabaseSync {
  const file = new DatabaseSync(path);
  for (const setting of SETTINGS) file.exec(setting);
  const version = String(file.prepare('select sqlite_version() as v').get()?.['v']);
  if (compareVersions(version, LEAST_VERSION) < 0)
    throw new Error(`SQLite ${version} is older than ${LEAST_VERSION}, which this needs.`);
  const mode = file.prepare('pragma journal_mode').get()?.['journal_mode'];
  const synchronous = file.prepare('pragma synchronous').get()?.['synchronous'];
  if (path !== ':memory:' && (mode !== 'wal' || synchronous !== 2))
    throw new Error(`${path} cannot be kept in WAL mode: a network drive does not do.`);
  return file;
}

/** The dialect over an open file, which is closed with it. */
export function sqliteDialect(file: DatabaseSync): SqliteDialect {
  return new OneTransactionDialect({ database: asExpected(file) });
}

class OneTransactionDialect extends SqliteDialect {
  /** SQLite changes its schema within a transaction, whatever the library believes of it. */
  override createAdapter(): SqliteAdapter {
    return new TransactionalAdapter();
  }
}

class TransactionalAdapter extends SqliteAdapter {
  override get supportsTransactionalDdl(): boolean {
    return true;
  }
}

function asExpected(file: DatabaseSync): SqliteDatabase {
  const statements = new Map<string, SqliteStatement>();
  return {
    close: () => file.close(),
    prepare(sql) {
      const known = statements.get(sql);
      if (known !== undefined) return known;
      // A transaction here is always going to write: taking the lock late could fail half-way.
      const made = statementOf(file.prepare(sql === 'begin' ? 'begin immediate' : sql));
      if (statements.size >= MOST_STATEMENTS) statements.clear();
      statements.set(sql, made);
      return made;
    },
  };
}

function statementOf(statement: StatementSync): SqliteStatement {
  type Values = Parameters<StatementSync['all']>;
  return {
    reader: statement.columns().length > 0,
    all: (values) => statement.all(...(values as Values)),
    run: (values) => statement.run(...(values as Values)),
    iterate: (values) => statement.iterate(...(values as Values)),
  };
}

function compareVersions(one: string, other: string): number {
  const [a, b] = [one, other].map((text) => text.split('.').map(Number));
  for (let at = 0; at < 3; at += 1) {
    const difference = (a?.[at] ?? 0) - (b?.[at] ?? 0);
    if (difference !== 0) return difference;
  }
  return 0;
}
