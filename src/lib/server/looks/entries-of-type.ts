/** Entries of one kind over all jobs, read back from their lines. */
import { eventOf } from '#lib/core/bag/bodies.ts';
import type { EventType, JobEvent } from '#lib/core/job/events.ts';
import { readLine } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';

/** Where an entry is, before its line is read. */
export interface PlacedEntry {
  /** Place in the log. */
  readonly idx: number;
  readonly job: string;
  readonly demo: boolean;
  readonly seq: number;
}

export interface FoundEntry extends PlacedEntry {
  readonly event: JobEvent;
}

/** The newest first, of the main branches; what cannot be read is left out. */
export async function eventsOfType(
  rows: Rows,
  type: EventType,
  most: number,
): Promise<FoundEntry[]> {
  return eventsAt(rows, await placesOfType(rows, type, most));
}

/** The newest first, of the main branches. */
export async function placesOfType(
  rows: Rows,
  type: EventType,
  most: number,
): Promise<PlacedEntry[]> {
  const found = await rows
    .selectFrom('leaves')
    .innerJoin('jobs', 'jobs.no', 'leaves.job_no')
    // The crew comes with it: asking for it afterwards would go through every job of that crew.
    .select(['leaves.idx', 'jobs.job', 'jobs.demo', 'leaves.seq'])
    .where('leaves.type', '=', type)
    .where('leaves.kind', '=', 'entry')
    .where('leaves.side', '=', 0)
    .orderBy('leaves.at', 'desc')
    .limit(most)
    .execute();
  return found.map(({ idx, job, demo, seq }) => ({ idx, job, demo: demo === 1, seq: seq ?? 0 }));
}

/** What was read before, by its place in the log of this database: no entry there is ever another. */
const known = new WeakMap<Rows, Map<number, JobEvent | null>>();
const MOST_KNOWN = 2000;

/** In the order of the places; what cannot be read is left out. */
export async function eventsAt(rows: Rows, places: readonly PlacedEntry[]): Promise<FoundEntry[]> {
  const kept = known.get(rows) ?? new Map<number, JobEvent | null>();
  known.set(rows, kept);
  // Taken out before the wait: somebody else may make room meanwhile.
  const before = places.map(({ idx }) => kept.get(idx));
  const fresh = places.filter((_, at) => before[at] === undefined).map(({ idx }) => idx);
  const read = new Map(await linesAt(rows, fresh));
  if (kept.size + read.size > MOST_KNOWN) kept.clear();
  for (const [idx, event] of read) kept.set(idx, event);
  return places.flatMap((place, at) => {
    const event = before[at] ?? read.get(place.idx) ?? null;
    return event === null ? [] : [{ ...place, event }];
  });
}

async function linesAt(
  rows: Rows,
  places: readonly number[],
): Promise<(readonly [number, JobEvent | null])[]> {
  if (places.length === 0) return [];
  const found = await rows
    .selectFrom('leaves')
    .select(['idx', 'line'])
    .where('idx', 'in', places)
    .execute();
  return found.map(({ idx, line }) => {
    const read = readLine(new Uint8Array(line), nodePrimitives);
    const event = read.ok ? eventOf(read.value.entry) : read;
    return [idx, event.ok ? event.value : null];
  });
}
