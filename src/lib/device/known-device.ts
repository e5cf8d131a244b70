/**
 * The alarm for a store that came up empty on a device that was in use.
 *
 * Browsers clear everything of a site at once, so the mark that says "records were kept here" stands in
 * two places that are cleared on other occasions than the database: local storage and a cookie. It
 * holds a date and nothing else.
 */
import { done } from './trouble.ts';
import type { Connection, Reading, Writing } from './connection.ts';
import type { Result } from './trouble.ts';

const MARK = 'stillwire-kept-since';
const FIRST_USE = 'firstUse';
const EMPTIED = 'emptied';
/** 400 days: the longest that browsers keep a cookie. */
const COOKIE_SECONDS = 400 * 24 * 3600;

export interface MarkPlace {
  read(): string | null;
  write(since: string): void;
}

/** What was found: a first use, a store that is as it was left, or one that was emptied and not yet answered for. */
export type Acquaintance =
  | { readonly kind: 'new' | 'known'; readonly since: string }
  | { readonly kind: 'emptied'; readonly since: string; readonly says: string };

/**
 * Compares the mark with the store, and leaves both in place for the next time.
 * @param today `YYYY-MM-DD`
 */
export async function acquaint(
  connection: Connection,
  today: string,
  places: readonly MarkPlace[],
): Promise<Result<Acquaintance>> {
  const marks = places.map((place) => place.read()).filter((mark) => mark !== null);
  const marked = marks.filter((mark) => /^\d{4}-\d\d-\d\d$/.test(mark)).sort()[0];
  // A strict write waits for the disk, and nearly always there is nothing to write.
  const known = await connection.read(['settings'], heldBy);
  if (!known.ok) return known;
  const found: Result<Acquaintance> =
    known.value !== null ? done(known.value) : await firstUse(connection, today, marked);
  if (found.ok) for (const place of places) place.write(found.value.since);
  return found;
}

/** What an earlier opening left; null when there was none. */
async function heldBy(tx: Reading | Writing): Promise<Result<Acquaintance | null>> {
  const settings = tx.objectStore('settings');
  const [since, alarm]: unknown[] = await Promise.all([
    settings.get(FIRST_USE),
    settings.get(EMPTIED),
  ]);
  if (typeof alarm === 'string') return done(emptied(alarm));
  return done(typeof since === 'string' ? { kind: 'known', since } : null);
}

function firstUse(
  connection: Connection,
  today: string,
  marked: string | undefined,
): Promise<Result<Acquaintance>> {
  return connection.write(['settings'], async (tx) => {
    // Another tab may have been quicker since it was read.
    const held = await heldBy(tx);
    if (!held.ok || held.value !== null) return held as Result<Acquaintance>;
    const settings = tx.objectStore('settings');
    await settings.put(marked ?? today, FIRST_USE);
    if (marked === undefined) return done<Acquaintance>({ kind: 'new', since: today });
    await settings.put(marked, EMPTIED);
    return done(emptied(marked));
  });
}

/** The person has read the alarm and says that it was passed on; it is not shown again. */
export function answerForEmptied(connection: Connection): Promise<Result<void>> {
  return connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').delete(EMPTIED);
    return done(undefined);
  });
}

function emptied(since: string): Acquaintance {
  return {
    kind: 'emptied',
    since,
    says: `This browser has kept Stillwire records since ${since}, and now they are gone: the browser or somebody cleared its storage. What was sent or exported before is not touched. Do not go on as if nothing had happened: tell the person who looks after the records, and make new signing keys here.`,
  };
}

/** Local storage and a cookie; either may be switched off. */
export function browserPlaces(): MarkPlace[] {
  return [
    {
      read: () => quietly(() => localStorage.getItem(MARK)),
      write: (since) => void quietly(() => localStorage.setItem(MARK, since)),
    },
    {
      read: () =>
        quietly(() => {
          const found = document.cookie.split('; ').find((each) => each.startsWith(`${MARK}=`));
          return found?.slice(MARK.length + 1) ?? null;
        }),
      write: (since) =>
        void quietly(() => {
          const secure = location.protocol === 'https:' ? '; Secure' : '';
          document.cookie = `${MARK}=${since}; Max-Age=${COOKIE_SECONDS}; Path=/; SameSite=Strict${secure}`;
        }),
    },
  ];
}

function quietly<T>(attempt: () => T): T | null {
  try {
    return attempt();
  } catch {
    return null;
  }
}
