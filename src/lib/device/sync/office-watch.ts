/**
 * The come-back clock of a job as the office keeps it: told when it is set, at each sign of life and when
 * it ends. A device that dies or loses its signal changes nothing there; that is what it is for.
 */
import type { ServerLink } from './server-link.ts';

/** What the office has said last: its clock for this job, and when it expects somebody, ms by this device. */
export interface OfficeClockTold {
  readonly id: string;
  readonly due: number;
}

/** What this device wants the office to know. */
export interface Expected {
  readonly person: string;
  readonly job: string;
  /** Where to look. */
  readonly place: string;
  /** When the next sign of life is due, ms since 1970; null when nobody is expected any more. */
  readonly due: number | null;
}

/**
 * `nobody`: no office is known, or it was not asked. `office`: it watches until `due`. `unanswered`: it was
 * asked and has not answered, so nobody watches yet, or it still goes by the older time in `due`.
 * `refused`: it will not.
 */
export type Watch =
  | { readonly by: 'nobody'; /** There is an office to ask. */ readonly office: boolean }
  | { readonly by: 'office'; readonly due: number }
  | { readonly by: 'unanswered'; readonly due?: number }
  | { readonly by: 'refused'; readonly says: string };

export interface Told {
  readonly watch: Watch;
  /** To be kept until the next time; null when the office has no clock of this job. */
  readonly clock: OfficeClockTold | null;
}

const MINUTE = 60_000;
/** The longest that the office takes, minutes. */
const LONGEST = 24 * 60;

/**
 * Tells the office what has changed since `before`, and says who watches now.
 * @param link null when no office has let this device in
 * @param freshId a UUID, used when the office has no clock yet
 */
export async function tellOffice(
  link: Pick<ServerLink, 'setClock' | 'endClock'> | null,
  before: OfficeClockTold | null,
  expected: Expected,
  now: number,
  freshId: () => string,
): Promise<Told> {
  const { person, job, place, due } = expected;
  if (link === null) return { watch: { by: 'nobody', office: false }, clock: before };
  if (due === null) return end(link, before);
  const asked = Math.ceil((due - now) / MINUTE);
  // Past the time there is nothing to tell: the office counts for itself.
  if (before !== null && (before.due === due || asked < 1))
    return { watch: { by: 'office', due: before.due }, clock: before };
  const id = before?.id ?? freshId();
  const minutes = Math.min(LONGEST, Math.max(1, asked));
  const answer = await link.setClock({ id, person, job, place: place.slice(0, 200), minutes });
  if (answer.ok) return { watch: { by: 'office', due }, clock: { id, due } };
  const { failure } = answer;
  // Somebody at the office has heard of this person and ended that clock: a new one begins.
  if (failure.kind === 'refused' && failure.code === 'ended' && before !== null)
    return tellOffice(link, null, expected, now, freshId);
  if (failure.kind === 'refused')
    return { watch: { by: 'refused', says: failure.says }, clock: null };
  const older = before === null ? {} : { due: before.due };
  return { watch: { by: 'unanswered', ...older }, clock: before };
}

async function end(
  link: Pick<ServerLink, 'endClock'>,
  before: OfficeClockTold | null,
): Promise<Told> {
  const over: Told = { watch: { by: 'nobody', office: true }, clock: null };
  if (before === null) return over;
  const answer = await link.endClock(before.id);
  // One that the office does not know any more is ended too.
  if (answer.ok || answer.failure.kind === 'refused') return over;
  return { watch: { by: 'unanswered', due: before.due }, clock: before };
}
