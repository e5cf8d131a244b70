/**
 * A job's record as this page holds it: what is stored, read back and folded. Immutable; a longer one is
 * made only after the store has answered `complete`.
 */
import type { Clock } from './clock.ts';
import type { LoadedChecklist } from './checklists.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { fold } from '#lib/core/job/evolve.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState } from '#lib/core/job/state.ts';
import type { JobState } from '#lib/core/job/state.ts';
import { photosNamed } from '#lib/core/record/index.ts';
import type { Json } from '#lib/core/record/index.ts';
import { signerOf } from './keys.ts';
import type { Photo } from './photo.ts';
import { eventOf, readDisclosures, readEntries } from './read-job.ts';
import type { Disclosed, Recorded } from './read-job.ts';
import type { JobRow } from './schema.ts';
import { sealEvents } from './seal-events.ts';
import type { Program, SealedEvents } from './seal-events.ts';
import { placeOf } from './store.ts';
import type { DeviceStore, StoredJob } from './store.ts';
import { seenOf } from './sync/seen.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

/** What a job stands on. */
export interface Ground {
  readonly store: DeviceStore;
  readonly clock: Clock;
  readonly program: Program;
}

export interface JobLog {
  readonly job: string;
  readonly loaded: LoadedChecklist;
  readonly entries: readonly Recorded[];
  /** Private values still kept, in order. */
  readonly disclosed: readonly Disclosed[];
  readonly state: JobState;
  /** As stored; null before the first entry. */
  readonly row: JobRow | null;
}

/** A job of which nothing is stored yet. */
export function emptyLog(job: string, loaded: LoadedChecklist): JobLog {
  const state = initialState(planOf(loaded.checklist), loaded.row.sha256);
  return { job, loaded, entries: [], disclosed: [], state, row: null };
}

/** The job that these bytes tell: `damaged` when they do not, or when this program cannot follow them. */
export function logOf(stored: StoredJob, loaded: LoadedChecklist): Result<JobLog> {
  const entries = readEntries(stored);
  if (!entries.ok) return entries;
  const empty = emptyLog(stored.row.job, loaded);
  let state: JobState;
  try {
    const events = entries.value.map(({ event }) => event);
    state = fold(empty.state, events);
  } catch {
    return failed(
      'damaged',
      `The stored record of job ${stored.row.job} is whole, but this program cannot follow what it says. Nothing was changed or deleted. Export it as it stands, and open it with the program that wrote it.`,
    );
  }
  const disclosed = readDisclosures(stored.disclosures, entries.value);
  return done({ ...empty, entries: entries.value, disclosed, state, row: stored.row });
}

/**
 * Seals events of one person, stores them with the photos they name in one transaction, and answers
 * with the longer log. On any trouble nothing was stored, and the log given stays true.
 */
export async function append(
  log: JobLog,
  by: string,
  events: readonly JobEvent[],
  photos: readonly Photo[],
  { store, program }: Ground,
): Promise<Result<JobLog>> {
  const fresh = await photosToStore(store, events, photos);
  if (!fresh.ok) return fresh;
  const signer = await signerOf(store.connection, by);
  if (!signer.ok) return signer;
  const first = log.entries[0]?.sealed.entry;
  const sealed = await sealEvents(events, {
    job: log.job,
    // A record tells of one program from end to end; a newer one is told in a note.
    program: first === undefined ? program : { app: first.app, rules: first.rules },
    upon: log.entries.map((each) => each.sealed),
    signer: signer.value,
    seen: await seenOf(store.connection),
  });
  if (!sealed.ok) return sealed;
  // Folded before it is stored: what cannot be folded must never be stored.
  const longer = grown(log, fold(log.state, events), sealed.value);
  const stored = await store.append({
    upon: placeOf(log.row ?? undefined),
    lines: sealed.value.entries.map((entry) => entry.line),
    row: longer.row,
    disclosures: sealed.value.disclosures,
    erased: sealed.value.erased,
    photos: fresh.value,
    ...(first === undefined ? { checklist: log.loaded.row } : {}),
  });
  return stored.ok ? done(longer) : stored;
}

function grown(log: JobLog, state: JobState, sealed: SealedEvents): JobLog & { row: JobRow } {
  const added = sealed.entries.map((each) => ({ sealed: each, event: eventOf(each) }));
  const entries = [...log.entries, ...added];
  const kept = log.disclosed.filter((each) => !sealed.erased.includes(each.digest));
  const disclosed = [...kept, ...readDisclosures(sealed.disclosures, entries)];
  const [first, last] = [entries[0]?.sealed, entries.at(-1)?.sealed];
  if (first === undefined || last === undefined) throw new Error('nothing was sealed');
  const row: JobRow = {
    job: log.job,
    count: entries.length,
    head: last.hash,
    checklist: log.loaded.row.sha256,
    title: log.loaded.row.title,
    demo: state.demo,
    openedAt: first.entry.at,
    lastAt: last.entry.at,
    openedBy: first.entry.by,
    lastBy: last.entry.by,
    status: state.status,
  };
  return { ...log, entries, disclosed, state, row };
}

/** The new photos that the events name; `photo-missing` when one is named that is nowhere. */
async function photosToStore(
  store: DeviceStore,
  events: readonly JobEvent[],
  given: readonly Photo[],
): Promise<Result<readonly Photo[]>> {
  const named = new Set(events.flatMap((event) => photosNamed(event.body as unknown as Json)));
  const fresh = given.filter((photo) => named.has(photo.sha256));
  for (const photo of fresh) named.delete(photo.sha256);
  if (named.size === 0) return done(fresh);
  const missing = await store.photosMissing([...named]);
  if (!missing.ok) return missing;
  const [first] = missing.value;
  if (first === undefined) return done(fresh);
  return failed(
    'photo-missing',
    `The photo ${first.slice(0, 8)}… that this names is not on this device. Nothing was recorded. Take it again.`,
  );
}

const NOW_RUNS = 'from here on this job runs on program ';

/** To be told once: that another program decides from here on than the one that opened the job. */
export function programChange(log: JobLog, { app, rules }: Program): string | null {
  const first = log.entries[0]?.sealed.entry;
  if (first === undefined) return null;
  const told = log.entries.flatMap(({ event }) =>
    event.type === 'program.noted' && event.body.what.startsWith(NOW_RUNS) ? [event.body.what] : [],
  );
  const here = sentence(app, rules);
  return (told.at(-1) ?? sentence(first.app, first.rules)) === here ? null : here;
}

function sentence(app: string, rules: string): string {
  return `${NOW_RUNS}${app} with rules ${rules.slice(0, 16)}`;
}
