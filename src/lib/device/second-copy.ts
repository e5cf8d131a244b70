/**
 * A second copy of everything that is kept here, in a storage bucket of its own.
 *
 * Chromium keeps the databases of a site in one append-only log. A process that dies in the middle of a
 * write leaves a torn line at its end; the next run goes on writing behind it, and the run after that
 * finds the log damaged in the middle and deletes the whole of it, what was long stored included. (A kill
 * every second shows it about once in some hundred kills.) A bucket has a log of its own, and is only
 * written to when the first store has answered: no one moment can tear both. A write counts when both have it.
 *
 * Invariant: records are only ever added, so each of the two is given what only the other has. Of what
 * changes in place (people, settings, private values) the first store's word counts: what was erased
 * there is erased in the copy too.
 */
import type { StoreNames } from 'idb';
import { Connection } from './connection.ts';
import type { Work } from './connection.ts';
import { DATABASE_NAME, DATABASE_VERSION } from './schema.ts';
import type { Stored } from './schema.ts';
import { done } from './trouble.ts';
import type { Result } from './trouble.ts';

const BUCKET = 'second-copy';

/** The part of the Storage Buckets API (WICG draft) that is used. */
interface Buckets {
  open(name: string, options: { durability: 'strict' }): Promise<{ indexedDB: IDBFactory }>;
}

/** Where the copy is kept; undefined in browsers without buckets, whose stores do not tear so. */
export async function secondPlace(): Promise<IDBFactory | undefined> {
  const buckets = (globalThis.navigator as { storageBuckets?: Buckets } | undefined)
    ?.storageBuckets;
  try {
    return (await buckets?.open(BUCKET, { durability: 'strict' }))?.indexedDB;
  } catch {
    // Switched off, or no room: the first store works without a copy.
    return undefined;
  }
}

type Store = (typeof COPIED)[number];

/** Written once under their key, never changed and never deleted. */
const FIXED = ['entries', 'checklists', 'keys', 'receipts'] as const;
const PHOTOS = ['chunks', 'photos'] as const;
const COPIED = [...FIXED, ...PHOTOS, 'people', 'settings', 'disclosures', 'jobs'] as const;
/** Values that are copied in one transaction. */
const AT_ONCE = 64;

export class SecondCopy {
  /** Jobs that only the copy still had, and that were brought back, by id. */
  readonly broughtBack: readonly string[];
  readonly #first: Connection;
  readonly #copy: Connection;
  #turn: Promise<void> = Promise.resolve();
  /** No photos are copied any more: the room is needed. */
  #slim = false;

  private constructor(first: Connection, copy: Connection, broughtBack: readonly string[]) {
    this.#first = first;
    this.#copy = copy;
    this.broughtBack = broughtBack;
  }

  /** Opens the copy, gives each of the two what it lacks, and follows the first from then on. */
  static async beside(
    first: Connection,
    place: IDBFactory | undefined,
  ): Promise<SecondCopy | null> {
    if (place === undefined) return null;
    const copy = await Connection.open(DATABASE_NAME, DATABASE_VERSION, place);
    if (!copy.ok) return null;
    const back = await quietly(() => bringBack(first, copy.value));
    const second = new SecondCopy(first, copy.value, back?.ok ? back.value.jobs : []);
    await second.#catchUp(back?.ok ? back.value.keys : undefined);
    first.follower = (stores, work) => second.#follow(stores, work);
    return second;
  }

  close(): void {
    this.#first.follower = null;
    void this.#turn.then(() => this.#copy.close());
  }

  /** Resolves when the copy has followed everything that was written until now. */
  settled(): Promise<void> {
    return this.#turn;
  }

  /** Gives up the copies of photos for want of room; answers whether there were any. */
  async giveUpPhotos(): Promise<boolean> {
    if (this.#slim) return false;
    this.#slim = true;
    await this.#turn;
    const given = await quietly(() =>
      this.#copy.write([...PHOTOS], async (tx) => {
        const count = await tx.objectStore('chunks').count();
        await Promise.all([tx.objectStore('photos').clear(), tx.objectStore('chunks').clear()]);
        return done(count > 0);
      }),
    );
    return given?.ok === true && given.value;
  }

  #follow(stores: readonly StoreNames<Stored>[], work: Work<unknown>): Promise<void> {
    if (stores.includes('ballast')) return Promise.resolve();
    this.#turn = this.#turn.then(async () => {
      // The same work on the same state comes to the same; where it does not, another tab was quicker.
      const followed = this.#slim ? null : await quietly(() => this.#copy.write([...stores], work));
      if (followed === null || !followed.ok) await this.#catchUp();
    });
    return this.#turn;
  }

  async #catchUp(keys?: BothKeys): Promise<void> {
    await quietly(() => bringUpToDate(this.#first, this.#copy, !this.#slim, keys));
  }
}

async function quietly<T>(work: () => Promise<Result<T>>): Promise<Result<T> | null> {
  try {
    return await work();
  } catch {
    // The copy is a net, not the floor: the first store goes on without it.
    return null;
  }
}

interface Back {
  /** The jobs that came back. */
  readonly jobs: readonly string[];
  /** What the two have, where nothing had to be brought back: it need not be read again. */
  readonly keys: BothKeys | undefined;
}

/** Gives the first store everything that only the copy has. */
async function bringBack(first: Connection, copy: Connection): Promise<Result<Back>> {
  const keys = await keysOfBoth(first, copy);
  if (!keys.ok) return keys;
  const { here, there } = keys.value;
  const lost = without(there.jobs, here.jobs);
  const jobs = new Set(lost);
  const emptied = jobs.size > 0 || here.settings.length === 0;
  let isWhole = true;
  for (const store of COPIED) {
    // A store that was not emptied has the last word on what was erased in it.
    const wanted = without(there[store], here[store]).filter((key) => {
      // Receipts of a job that is here are only gone when the server has lost what they were for.
      if (store === 'disclosures' || store === 'receipts')
        return Array.isArray(key) && jobs.has(key[0] ?? '');
      return store !== 'settings' || emptied;
    });
    if (wanted.length > 0) isWhole = false;
    const brought = await carry(copy, first, store, wanted);
    if (!brought.ok) return brought;
  }
  const back = lost.map(String);
  const noted = await note(first, back);
  return noted.ok ? done({ jobs: back, keys: isWhole ? keys.value : undefined }) : noted;
}

const BROUGHT_BACK = 'brought-back';

/** By job: how many entries it had when it was last brought back from the copy. */
export async function jobsBroughtBack(
  connection: Connection,
): Promise<Result<Readonly<Record<string, number>>>> {
  const kept = await connection.read(['settings'], async (tx) =>
    done(await tx.objectStore('settings').get(BROUGHT_BACK)),
  );
  return kept.ok ? done((kept.value ?? {}) as Readonly<Record<string, number>>) : kept;
}

function note(first: Connection, jobs: readonly string[]): Promise<Result<void>> {
  if (jobs.length === 0) return Promise.resolve(done(undefined));
  return first.write(['settings', 'jobs'], async (tx) => {
    const settings = tx.objectStore('settings');
    const kept = ((await settings.get(BROUGHT_BACK)) ?? {}) as Record<string, number>;
    for (const job of jobs) kept[job] = (await tx.objectStore('jobs').get(job))?.count ?? 0;
    await settings.put(kept, BROUGHT_BACK);
    return done(undefined);
  });
}

/** Gives the copy everything that the first store has, and takes from it what was erased there. */
async function bringUpToDate(
  first: Connection,
  copy: Connection,
  withPhotos: boolean,
  known?: BothKeys,
): Promise<Result<void>> {
  const keys = known === undefined ? await keysOfBoth(first, copy) : done(known);
  if (!keys.ok) return keys;
  const { here, there } = keys.value;
  for (const store of withPhotos ? [...FIXED, ...PHOTOS] : FIXED) {
    const carried = await carry(first, copy, store, without(here[store], there[store]));
    if (!carried.ok) return carried;
  }
  for (const store of ['people', 'settings', 'disclosures', 'jobs'] as const) {
    const carried = await carry(first, copy, store, here[store]);
    if (!carried.ok) return carried;
    const erased = without(there[store], here[store]);
    if (store === 'jobs' || erased.length === 0) continue;
    const gone = await copy.write([store], async (tx) => {
      const values = tx.objectStore(store) as unknown as Untyped;
      await Promise.all(erased.map((key) => values.delete(key)));
      return done(undefined);
    });
    if (!gone.ok) return gone;
  }
  return done(undefined);
}

/** Copies values under their keys, a handful a transaction. */
async function carry(
  from: Connection,
  to: Connection,
  store: Store,
  keys: readonly IDBValidKey[],
): Promise<Result<void>> {
  for (let at = 0; at < keys.length; at += AT_ONCE) {
    const some = keys.slice(at, at + AT_ONCE);
    const read = await from.read([store], async (tx) => {
      const values = tx.objectStore(store) as unknown as Untyped;
      return done(await Promise.all(some.map((key) => values.get(key))));
    });
    if (!read.ok) return read;
    const written = await to.write([store], async (tx) => {
      const values = tx.objectStore(store) as unknown as Untyped;
      await Promise.all(
        some.flatMap((key, place) => {
          const value = read.value[place];
          // Deleted since its key was read.
          if (value === undefined) return [];
          return [values.keyPath === null ? values.put(value, key) : values.put(value)];
        }),
      );
      return done(undefined);
    });
    if (!written.ok) return written;
  }
  return done(undefined);
}

/** A store of any kind: what is copied is not looked into. */
interface Untyped {
  readonly keyPath: string | string[] | null;
  get(key: IDBValidKey): Promise<unknown>;
  put(value: unknown, key?: IDBValidKey): Promise<unknown>;
  delete(key: IDBValidKey): Promise<void>;
}

type Keys = Readonly<Record<Store, readonly IDBValidKey[]>>;
interface BothKeys {
  readonly here: Keys;
  readonly there: Keys;
}

/**
 * Every key of both, each store in one transaction. The copy is read first: what another tab writes in between
 * then stands in the first store alone, and is never taken for something that was erased there.
 */
async function keysOfBoth(first: Connection, copy: Connection): Promise<Result<BothKeys>> {
  const there = await keysOf(copy);
  if (!there.ok) return there;
  const here = await keysOf(first);
  return here.ok ? done({ here: here.value, there: there.value }) : here;
}

function keysOf(connection: Connection): Promise<Result<Keys>> {
  return connection.read([...COPIED], async (tx) => {
    const keys = await Promise.all(COPIED.map((store) => tx.objectStore(store).getAllKeys()));
    return done(
      Object.fromEntries(COPIED.map((store, at) => [store, keys[at] ?? []])) as unknown as Keys,
    );
  });
}

function without(
  keys: readonly IDBValidKey[],
  others: readonly IDBValidKey[],
): readonly IDBValidKey[] {
  if (keys.length === 0) return [];
  const known = new Set(others.map((key) => JSON.stringify(key)));
  return keys.filter((key) => !known.has(JSON.stringify(key)));
}
