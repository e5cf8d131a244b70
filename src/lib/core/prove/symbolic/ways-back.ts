/**
 * From which states the job can never be handed back any more, however it is gone on with (refused and held as
 * evidence are ends of their own; parked is no end), and the shortest way to one of them.
 */
import type { Bounds } from '../../job/enabled-commands.ts';
import type { JobState } from '../../job/state.ts';
import { after, movesFrom, type Move } from '../moves.ts';
import { NO, type Diagram } from './diagrams.ts';
import type { Slice } from './slice.ts';
import { settingsOf } from './variables.ts';
import type { Walk } from './walk.ts';

const MOST_DEAD_ENDS = 3;

/** By slice: the states from which there is no way to the hand-back. */
export function deadStates(walk: Walk): Diagram[] {
  const { d, slices } = walk;
  const live = slices.map((slice) => {
    let closing: Diagram = NO;
    for (const [number, { end }] of walk.moves.list.entries()) {
      if (end === 'handedBack') closing = d.or(closing, slice.allowed(number));
    }
    return closing;
  });
  for (let changed = true; changed;) {
    changed = false;
    for (let at = slices.length - 1; at >= 0; at--) changed = backwards(walk, live, at) || changed;
  }
  return slices.map(({ states }, at) => d.but(states, live[at] as Diagram));
}

/** Adds the states of one slice that lead to a live one; says whether there were any. */
function backwards(walk: Walk, live: Diagram[], at: number): boolean {
  const { d, slices } = walk;
  const slice = slices[at] as Slice;
  const known = live[at] as Diagram;
  if (slice.states === known) return false;
  /* Of a slice that is live altogether the place alone is asked: whatever is reached there is live. */
  const others = d.any(
    slices.map((each, other) =>
      other === at
        ? NO
        : each.states === live[other] && each.states !== NO
          ? each.place
          : (live[other] as Diagram),
    ),
  );
  const found = slice.allBefore(known, others);
  live[at] = found;
  walk.tidy([...live, found]);
  return found !== known;
}

/**
 * Shortest ways to states that cannot lead to a hand-back, those furthest on in the checklist first.
 * @param goOn asked now and then; once it says no, the answer is that it is not known
 */
export function deadEnds(walk: Walk, bounds: Bounds, goOn: () => boolean): Move[][] | undefined {
  const dead = deadStates(walk);
  const ways: Move[][] = [];
  for (let at = dead.length - 1; at >= 0 && ways.length < MOST_DEAD_ENDS; at--) {
    if (dead[at] === NO) continue;
    const way = pathTo(walk, bounds, dead[at] as Diagram, dead, goOn);
    if (way === undefined) return undefined;
    ways.push(way);
  }
  return ways;
}

/** The engine's shortest path from the opening into a set of states that it reaches. */
function pathTo(
  walk: Walk,
  bounds: Bounds,
  target: Diagram,
  keep: readonly Diagram[],
  goOn: () => boolean,
): Move[] | undefined {
  const { d, slices } = walk;
  const start = walk.one(walk.opened);
  const rings = [target];
  let seen = target;
  while (d.and(seen, start) === NO) {
    const last = rings.at(-1) as Diagram;
    let ring: Diagram = NO;
    for (const slice of slices) {
      if (!goOn()) return undefined;
      ring = d.or(ring, slice.before(d.but(slice.states, seen), last));
    }
    if (ring === NO) throw new Error('A state that was reached has no way to it.');
    rings.push(ring);
    seen = d.or(seen, ring);
    walk.tidy([...keep, ...rings, seen, start]);
  }
  let state: JobState = walk.unopened;
  const take = (ring: Diagram): Move => {
    for (const move of movesFrom(state, bounds)) {
      const next = after(state, move.events);
      if (!walk.isOpen(next) || !d.holds(ring, settingsOf(walk.of, next))) continue;
      state = next;
      return move;
    }
    throw new Error('The engine has no move where its questions say that there is one.');
  };
  return [start, ...rings.slice(0, -1).reverse()].map(take);
}
