/** The locks of a job as a register: each with its one place, its owner and how it stands there. */
import type { JobEvent } from '#lib/core/job/events.ts';
import type { JobView, LockView, PointView } from '#lib/core/job/view-types.ts';

/**
 * `own`: its owner is here. `stray`: its owner is away and it hangs all the same. `unsure`: power came back
 * since; its owner has to look at it again. `firm`: left hanging when the job was parked.
 */
export type LockStanding = 'own' | 'stray' | 'unsure' | 'firm';

export interface RegisteredLock extends LockView {
  readonly label: string;
  readonly standing: LockStanding;
  /** When it was hung, RFC 3339, if the record says so. */
  readonly since?: string;
}

type Seen = Pick<JobView, 'sources' | 'people'>;

function pointsOf(view: Pick<JobView, 'sources'>): readonly PointView[] {
  return view.sources.flatMap(({ points }) => points);
}

/** Every lock that hangs, strays first. */
export function registerOf(
  view: Seen,
  events: readonly JobEvent[],
  pointOf: (step: string) => string | undefined,
): readonly RegisteredLock[] {
  const here = new Set(view.people.filter(({ present }) => present).map(({ id }) => id));
  const rows = pointsOf(view).flatMap((point) =>
    point.locks.map((lock): RegisteredLock => {
      const since = hungAt(lock, events, pointOf);
      const standing = lock.parked
        ? 'firm'
        : !here.has(lock.owner)
          ? 'stray'
          : lock.sure
            ? 'own'
            : 'unsure';
      return { ...lock, label: point.label, standing, ...(since === undefined ? {} : { since }) };
    }),
  );
  const order: readonly LockStanding[] = ['stray', 'unsure', 'firm', 'own'];
  return rows.sort((a, b) => order.indexOf(a.standing) - order.indexOf(b.standing));
}

/** The last entry by which this very lock came to this place. */
function hungAt(
  { number, owner, point }: LockView,
  events: readonly JobEvent[],
  pointOf: (step: string) => string | undefined,
): string | undefined {
  return events.findLast((event) => {
    if (event.type === 'step.done')
      return (
        event.by === owner &&
        event.body.result.lock === number &&
        pointOf(event.body.step) === point
      );
    if (event.type === 'job.handedOver')
      return event.body.to === owner && event.body.lock === number;
    return event.type === 'job.parked' && event.body.lock === number;
  })?.at;
}

/** Points that are cut or locked: what two people walk to when one takes over from the other. */
export function heldPoints(view: Pick<JobView, 'sources'>): readonly PointView[] {
  return pointsOf(view).filter(({ position, locks }) => position === 'open' || locks.length > 0);
}

/** Points where the lock of the one hangs and none of the other does yet. */
export function bareFor(
  view: Pick<JobView, 'sources'>,
  from: string,
  to: string,
): readonly PointView[] {
  const has = (point: PointView, owner: string) =>
    point.locks.some((lock) => lock.owner === owner && !lock.parked);
  return pointsOf(view).filter((point) => has(point, from) && !has(point, to));
}

/** Pictures taken when locks and tags were hung, the newest first. */
export function tagPictures(events: readonly JobEvent[]): readonly string[] {
  const taken = events.flatMap((event) =>
    event.type === 'step.done' && event.body.result.lock !== undefined
      ? (event.body.result.photos ?? [])
      : [],
  );
  return [...new Set(taken.toReversed())];
}
