/**
 * The one narrow port to the database: SQLite in a file, or PostgreSQL at an address, under the same
 * query code.
 *
 * Invariant: whatever changes the log of the organisation runs inside `alone`, which one caller holds
 * at a time, in this process and in every other one on the same database.
 */
import { existsSync } from 'node:fs';
import { Kysely, sql } from 'kysely';
import type { Transaction } from 'kysely';
import { migrate, pendingMigrations } from './migrate.ts';
import { postgresDialect, whyNotDurable } from './postgres-dialect.ts';
import { openSqliteFile, sqliteDialect } from './sqlite-dialect.ts';
import type { Tables } from './tables.ts';

export type Rows = Kysely<Tables>;
export type Writing = Transaction<Tables>;
export type Kind = 'sqlite' | 'postgres';

/** Where the records are: a file, or a PostgreSQL address. */
export type Place =
  | { readonly kind: 'sqlite'; readonly file: string }
  | { readonly kind: 'postgres'; readonly address: string };

/** Any number; the same in every process of this program. */
const WRITER_LOCK = 7_446_012_235;

export class Database {
  readonly kind: Kind;
  /** For reading, and for writing what is not part of the log. */
  readonly rows: Rows;
  #turn: Promise<unknown> = Promise.resolve();

  private constructor(kind: Kind, rows: Rows) {
    this.kind = kind;
    this.rows = rows;
  }

  /**
   * Opens the place and brings its tables up to date.
   * @param trouble hears of connections that break while nobody uses them
   * @throws Error with one plain sentence when it cannot be opened, is newer than this program, or
   *   would lose what it has answered
   */
  static async open(place: Place, trouble: (error: Error) => void = () => {}): Promise<Database> {
    const database = Database.#connect(place, trouble);
    try {
      if (place.kind === 'postgres') {
        const why = await whyNotDurable(database.rows as Kysely<unknown>);
        if (why !== null) throw new Error(why);
      }
      await migrate(database.rows, place.kind);
      return database;
    } catch (error) {
      await database.close();
      throw error;
    }
  }

  /**
   * Opens a place that is there already and leaves it as it is.
   * @throws Error with one plain sentence when there is none, or it is of another version
   */
  static async look(place: Place): Promise<Database> {
    if (place.kind === 'sqlite' && !existsSync(place.file))
      throw new Error(`There is no database at ${place.file}.`);
    const database = Database.#connect(place, () => {});
    try {
      const missing = await pendingMigrations(database.rows, place.kind);
      if (missing.length === 0) return database;
      throw new Error(
        'The database is empty or of an older version: start the server once, which brings it up to date.',
      );
    } catch (error) {
      await database.close();
      throw error;
    }
  }

  static #connect(place: Place, trouble: (error: Error) => void): Database {
    const dialect =
      place.kind === 'sqlite'
        ? sqliteDialect(openSqliteFile(place.file))
        : postgresDialect(place.address, trouble);
    return new Database(place.kind, new Kysely<Tables>({ dialect }));
  }

  /**
   * Runs `work` in one transaction as the only writer of the log; commits when it resolves and leaves
   * nothing when it throws.
   */
  alone<T>(work: (rows: Writing) => Promise<T>): Promise<T> {
    const next = this.#turn.then(() =>
      this.rows.transaction().execute(async (rows) => {
        if (this.kind === 'postgres')
          await sql`select pg_advisory_xact_lock(${sql.lit(WRITER_LOCK)})`.execute(rows);
        return work(rows);
      }),
    );
    // The next in turn does not care how this one ended.
    this.#turn = next.catch(() => {});
    return next;
  }

  /** Answers when the database does. */
  async answers(): Promise<void> {
    await sql`select 1`.execute(this.rows);
  }

  async close(): Promise<void> {
    await this.#turn;
    await this.rows.destroy();
  }
}
