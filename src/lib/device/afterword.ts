/**
 * What may still come after a job has ended and that no order of the engine makes: an erasure, and what the
 * clocks have to say before it.
 */
import type { JobEvent, Stamp } from '#lib/core/job/events.ts';
import { gapOf } from '#lib/core/job/running-clock.ts';
import { isEnded } from '#lib/core/job/state.ts';
import type { JobState } from '#lib/core/job/state.ts';
import { photosNamed } from '#lib/core/record/index.ts';
import type { Recorded } from './read-job.ts';

/** A wall clock this far behind, or ahead of, the running clock is noted; as the engine notes it. */
const BEHIND_MS = 2_000;
const AHEAD_MS = 120_000;

type ClockEvent = Extract<JobEvent, { readonly type: 'clock.noted' }>;

/** The engine settles clocks only while a job is under way; without a note a verifier asks what happened. */
export function clockAfterEnd(state: JobState, stamp: Stamp): ClockEvent[] {
  if (!isEnded(state)) return [];
  const { at, mono, boot, by } = stamp;
  const noted = (what: ClockEvent['body']['what'], ms: number): ClockEvent[] => [
    { at, mono, boot, by, type: 'clock.noted', body: { what, seconds: Math.trunc(ms / 1000) } },
  ];
  const gap = gapOf(state.clock, stamp);
  if (gap.restarted) return noted('restart', gap.ms);
  if (gap.wallDrift < -BEHIND_MS) return noted('wallBack', gap.wallDrift);
  return gap.wallDrift > AHEAD_MS ? noted('wallAhead', gap.wallDrift) : [];
}

/** One entry for each thing erased: its digest and the reason; the date is that of the entry. */
export function erasures(
  digests: readonly string[],
  why: string,
  { at, mono, boot, by }: Stamp,
): JobEvent[] {
  return digests.map((digest) => {
    return { at, mono, boot, by, type: 'disclosure.erased', body: { digest, why } };
  });
}

/** Digests of the photos that a record names and did not erase, in the order in which it names them. */
export function photosKept(entries: readonly Recorded[]): string[] {
  const erased = new Set(
    entries.flatMap(({ event }) => (event.type === 'disclosure.erased' ? [event.body.digest] : [])),
  );
  const named = new Set(entries.flatMap(({ sealed }) => photosNamed(sealed.entry.body)));
  return [...named].filter((sha256) => !erased.has(sha256));
}
