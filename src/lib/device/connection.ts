/**
 * The one door to IndexedDB: strict writes, a connection that is opened again once when the browser
 * drops it, and every failure as a value.
 *
 * Invariant: a write has happened when its transaction's `complete` event has fired, not before. A
 * request that succeeded may still be undone when the disk is full.
 */
import { wrap } from 'idb';
import type { IDBPTransaction, StoreNames } from 'idb';
import { DATABASE_NAME, DATABASE_VERSION, upgrade } from './schema.ts';
import type { Database, Stored } from './schema.ts';
import { done, standing } from './trouble.ts';
import type { Result } from './trouble.ts';

type Stores = StoreNames<Stored>[];
export type Reading = IDBPTransaction<Stored, Stores, 'readonly'>;
export type Writing = IDBPTransaction<Stored, Stores, 'readwrite'>;

/** What one writing transaction does; see `Connection.write`. */
export type Work<T> = (tx: Writing) => Promise<Result<T>>;

/** Hears of every write that has happened; the write is answered when this is done. */
export type Follower = (stores: Stores, work: Work<unknown>) => Promise<void>;

export class Connection {
  /** Hears of every write of this connection, after its commit. */
  follower: Follower | null = null;
  #db: Database | null = null;
  #outdated = false;
  readonly #name: string;
  readonly #version: number;
  readonly #factory: IDBFactory | undefined;
  readonly #toldOutdated = new Set<() => void>();

  private constructor(name: string, version: number, factory: IDBFactory | undefined) {
    this.#name = name;
    this.#version = version;
    this.#factory = factory;
  }

  /**
   * Opens the database, making or upgrading it: `no-store`, `blocked`, `outdated` or `lost` if not.
   * @param factory where the databases are; those of this page when absent
   */
  static async open(
    name = DATABASE_NAME,
    version = DATABASE_VERSION,
    factory?: IDBFactory,
  ): Promise<Result<Connection>> {
    const connection = new Connection(name, version, factory);
    const opened = await connection.#opened();
    return opened.ok ? done(connection) : opened;
  }

  /** True once another tab has upgraded the database under this one; nothing is written any more. */
  get outdated(): boolean {
    return this.#outdated;
  }

  /** Calls back once when that happens; returns how to stop listening. */
  onOutdated(tell: () => void): () => void {
    this.#toldOutdated.add(tell);
    return () => this.#toldOutdated.delete(tell);
  }

  close(): void {
    this.#db?.close();
    this.#db = null;
  }

  read<T>(stores: Stores, work: (tx: Reading) => Promise<Result<T>>): Promise<Result<T>> {
    return this.#using((db) => work(db.transaction(stores, 'readonly')));
  }

  /**
   * One strict transaction. `work` must await every request it makes and nothing else; when it answers
   * with a trouble the transaction is undone. It may run twice if the connection is lost on the way, so
   * it has to recognize its own earlier success.
   */
  async write<T>(stores: Stores, work: Work<T>): Promise<Result<T>> {
    const written = await this.#write(stores, work);
    // Said to be kept only when the copy has it too: the first store may be deleted at the next opening.
    if (written.ok) await this.follower?.(stores, work);
    return written;
  }

  #write<T>(stores: Stores, work: Work<T>): Promise<Result<T>> {
    return this.#using(async (db) => {
      const tx = db.transaction(stores, 'readwrite', { durability: 'strict' });
      const ended = completed(tx);
      let result: Result<T>;
      try {
        result = await work(tx);
      } catch (error) {
        undo(tx);
        await ended;
        throw error;
      }
      if (!result.ok) undo(tx);
      const stored = await ended;
      if (result.ok && !stored) throw tx.error ?? new DOMException('undone', 'AbortError');
      return result;
    });
  }

  async #using<T>(work: (db: Database) => Promise<Result<T>>): Promise<Result<T>> {
    let again = true;
    for (;;) {
      const opened = await this.#opened();
      if (!opened.ok) return opened;
      try {
        return await work(opened.value);
      } catch (error) {
        const name = nameOf(error);
        if (name === 'QuotaExceededError') return standing('full');
        if (!CONNECTION_ERRORS.has(name)) throw error;
        this.close();
        if (!again) return standing('lost');
        again = false;
      }
    }
  }

  async #opened(): Promise<Result<Database>> {
    if (this.#outdated) return standing('outdated');
    if (this.#db !== null) return done(this.#db);
    const factory = this.#factory ?? globalThis.indexedDB;
    if (factory === undefined) return standing('no-store');
    const opened = await this.#attempt(factory);
    if (opened.ok) this.#db = opened.value;
    return opened;
  }

  #attempt(factory: IDBFactory): Promise<Result<Database>> {
    return new Promise((resolve) => {
      let waitedInVain = false;
      let request: IDBOpenDBRequest;
      try {
        request = factory.open(this.#name, this.#version);
      } catch (error) {
        resolve(standing(refusedOpening(nameOf(error))));
        return;
      }
      request.onupgradeneeded = ({ oldVersion }) => upgrade(databaseOf(request), oldVersion);
      request.onblocked = () => {
        waitedInVain = true;
        resolve(standing('blocked'));
      };
      request.onerror = () => resolve(standing(refusedOpening(nameOf(request.error))));
      request.onsuccess = () => {
        const db = request.result;
        // Nobody waits for it any more; open, it would block the next one.
        if (waitedInVain) {
          db.close();
          return;
        }
        db.onversionchange = () => {
          this.#outdated = true;
          this.close();
          for (const tell of this.#toldOutdated) tell();
        };
        db.onclose = () => (this.#db = null);
        resolve(done(databaseOf(request)));
      };
    });
  }
}

function databaseOf(request: IDBOpenDBRequest): Database {
  return wrap(request.result) as unknown as Database;
}

/** What browsers throw when a connection, or the process behind it, has gone. */
const CONNECTION_ERRORS: ReadonlySet<string> = new Set([
  'AbortError',
  'InvalidStateError',
  'NotReadableError',
  'TimeoutError',
  'TransactionInactiveError',
  'UnknownError',
]);

function refusedOpening(name: string): 'outdated' | 'full' | 'no-store' | 'lost' {
  if (name === 'VersionError') return 'outdated';
  if (name === 'QuotaExceededError') return 'full';
  return name === 'SecurityError' || name === 'InvalidStateError' ? 'no-store' : 'lost';
}

function nameOf(error: unknown): string {
  return error instanceof Error || error instanceof DOMException ? error.name : '';
}

/** Resolves when the transaction is over: true for `complete`, false for `abort`. */
function completed(tx: Writing): Promise<boolean> {
  // The library's own promise settles at the first failing request, before the undoing is over.
  tx.done.catch(() => {});
  return new Promise((resolve) => {
    tx.addEventListener('complete', () => resolve(true));
    tx.addEventListener('abort', () => resolve(false));
  });
}

function undo(tx: Writing): void {
  try {
    tx.abort();
  } catch {
    // Over already: the browser undid it.
  }
}
