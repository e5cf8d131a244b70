/**
 * One job that two devices went on with at once: what the other tells otherwise. No merging: where the two
 * differ, the reading with less energy in it wins. A lock that hangs in either hangs, an end that is open in
 * either is open, and nothing that either calls live counts as dead.
 */
import { CLOSED, OPEN, type JobState } from './state.ts';

export interface Branching {
  /** Locks that hang there and not here. */
  readonly locks: readonly {
    readonly number: string;
    readonly owner: string;
    readonly point: string;
  }[];
  /** Labels of ends and connectors that are open there and not here. */
  readonly ends: readonly string[];
  /** Labels of points that are cut here and not there: to be treated as live. */
  readonly live: readonly string[];
  /** Labels of points that are cut there and not here: nobody puts them on. */
  readonly cut: readonly string[];
}

/** What `there` tells otherwise than `here`; both of one checklist. */
export function branching(here: JobState, there: JobState): Branching {
  const label = (point: number): string => here.plan.points[point]?.label ?? '';
  const points = here.plan.points.map(({ index }) => index);
  const isOff = (state: JobState, id: string): boolean =>
    state.connectors.some((each) => each.id === id && each.open);
  return {
    locks: there.locks
      .filter(
        ({ number, point }) =>
          !here.locks.some((lock) => lock.number === number && lock.point === point),
      )
      .map(({ number, owner, point }) => ({ number, owner, point: label(point) })),
    ends: [
      ...here.plan.ends.flatMap((end, at) =>
        (there.openEnds & ~here.openEnds & (1 << at)) === 0 ? [] : [end.label],
      ),
      ...there.connectors.flatMap((each) =>
        each.open && !isOff(here, each.id) ? [each.label] : [],
      ),
    ],
    live: points.filter((at) => here.points[at] === OPEN && there.points[at] !== OPEN).map(label),
    cut: points.filter((at) => there.points[at] === OPEN && here.points[at] === CLOSED).map(label),
  };
}
