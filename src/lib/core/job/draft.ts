/**
 * A state while one event changes it: copied on first write, and the ways in which facts end that more
 * than one event has in common.
 */
import type { Lapse } from '../checklist/model.ts';
import type { PlanPoint, PlanStep } from './plan.ts';
import {
  allPointsOpen,
  CLOSED,
  FRESH,
  NOT_DONE,
  OPEN,
  SETTLED,
  UNCHECKED,
  UNKNOWN,
  type Fact,
  type JobState,
} from './state.ts';
import { askedAgain } from './undoing.ts';

type Writable<T> = { -readonly [name in keyof T]: T[name] };

/**
 * The state while one event changes it: copied once, then changed in place until nobody else has seen it.
 * What it points at is shared with the state before and is replaced, never written to, but for the marks
 * and facts, which are its own.
 */
export class Draft {
  marks: number[];
  readonly facts: (Fact | undefined)[];
  readonly state: Writable<JobState>;
  constructor(state: JobState, clock: JobState['clock']) {
    this.marks = state.marks.slice();
    this.facts = state.facts.slice();
    this.state = { ...state, clock };
  }
  set(part: Partial<JobState>): void {
    Object.assign(this.state, part);
  }
  /** Ends the facts of these steps; their place in the order stays taken. */
  end(steps: readonly number[], why: string): void {
    for (const step of steps) {
      const mark = this.marks[step] ?? 0;
      if ((mark & (FRESH | UNCHECKED)) !== 0) this.marks[step] = mark & ~(FRESH | UNCHECKED);
      const fact = this.facts[step];
      if (fact && fact.ended === undefined) this.facts[step] = { ...fact, ended: why };
    }
  }
  /** Undoes a step altogether: the order asks for it again. */
  reopen(step: number, why: string): void {
    this.end([step], why);
    this.marks[step] = 0;
  }
  /** After `act`, its inverse further on has to be done (again). */
  askAgain(inverse: readonly number[], why: string): void {
    const settled = inverse.filter(
      (step) => ((this.marks[step] ?? 0) & (SETTLED | NOT_DONE)) !== 0,
    );
    const last = settled.at(-1);
    if (last !== undefined && settled.length === inverse.length) this.reopen(last, why);
  }

  /** After a cover or prop was moved, what was closed or opened last in the list is to be done again. */
  askEndAgain(
    step: PlanStep,
    same: readonly number[],
    opposites: readonly number[],
    why: string,
  ): void {
    const has = (bits: number) => (at: number) => ((this.marks[at] ?? 0) & bits) !== 0;
    const taken = step.do === 'open' ? SETTLED | NOT_DONE : SETTLED;
    const asked = askedAgain(step.index, same, opposites, has(SETTLED), has(taken));
    if (asked !== undefined) this.reopen(asked, why);
  }
}

export function replaceAt<T>(list: readonly T[], at: number, value: T): T[] {
  const copy = [...list];
  copy[at] = value;
  return copy;
}

export function endClear(draft: Draft, why: string): void {
  draft.end(draft.state.plan.ofKind.clear, why);
}

/** Proofs, releases and the case test of a source that came back, by whatever hand. */
export function endEnergyFacts(draft: Draft, source: number, why: string): void {
  const { plan } = draft.state;
  const own = plan.sources[source];
  if (!own) return;
  draft.end([...own.proveSteps, ...own.caseSteps], why);
  for (const each of plan.sources) {
    const stored = each.source.release !== undefined && 'discharge' in each.source.release;
    const fed = stored && each.fedBy.includes(source);
    if (fed || each.index === source) draft.end(each.releaseSteps, why);
  }
}

function updateWaits(draft: Draft, ran: number): void {
  const { plan } = draft.state;
  const cutAt = plan.sources.map((source) => {
    const cut = source.fedBy.every((feed) => allPointsOpen(draft.state, feed));
    const before = draft.state.cutAt[source.index] ?? -1;
    return cut ? (before >= 0 ? before : ran) : -1;
  });
  if (cutAt.some((each, at) => each !== draft.state.cutAt[at])) draft.set({ cutAt });
}

/** A plug that was out of sight may have been in between: what it feeds begins its wait again. */
export function restartWaits(draft: Draft, source: number, ran: number): void {
  const { plan, cutAt } = draft.state;
  draft.set({
    cutAt: cutAt.map((at, each) =>
      at >= 0 && (plan.sources[each]?.fedBy.includes(source) ?? false) ? ran : at,
    ),
  });
}

export function setPoint(draft: Draft, point: number, position: number, ran: number): void {
  draft.set({ points: replaceAt(draft.state.points, point, position) });
  updateWaits(draft, ran);
}

export function closePoint(
  draft: Draft,
  point: PlanPoint,
  position: number,
  why: string,
  ran: number,
): void {
  draft.end(point.isolateSteps, why);
  draft.set({ holders: replaceAt(draft.state.holders, point.index, '') });
  setPoint(draft, point.index, position, ran);
}

export function sourceUnknown(draft: Draft, source: number, why: string, ran: number): void {
  const { plan } = draft.state;
  endEnergyFacts(draft, source, why);
  endClear(draft, why);
  for (const at of plan.sources[source]?.points ?? []) {
    const point = plan.points[at] as PlanPoint;
    if (draft.state.points[at] !== CLOSED) closePoint(draft, point, UNKNOWN, why, ran);
    draft.end(point.lockSteps, why);
  }
  draft.set({
    locks: draft.state.locks.map((lock) =>
      plan.points[lock.point]?.source === source ? { ...lock, sure: false } : lock,
    ),
  });
}

/** What a fact left behind ends with it: a cut is in doubt, a lock has to be seen again, worn is unknown. */
export function endStanding(draft: Draft, step: PlanStep, why: string, ran: number): void {
  const { plan, people, locks } = draft.state;
  switch (step.do) {
    case 'isolate': {
      const point = plan.points[step.point] as PlanPoint;
      const open = draft.state.points[step.point] === OPEN;
      draft.end(plan.sources[step.source]?.proveSteps ?? [], why);
      if (point.control === 'exclusive') {
        draft.set({ holders: replaceAt(draft.state.holders, step.point, '') });
      } else if (open) closePoint(draft, point, UNKNOWN, why, ran);
      return;
    }
    case 'lock':
      draft.set({
        locks: locks.map((lock) => (lock.point === step.point ? { ...lock, sure: false } : lock)),
      });
      return;
    case 'wear':
      draft.set({
        people: people.map((person) => ({
          ...person,
          on: person.on & ~step.on,
          off: person.off & ~step.off,
        })),
      });
      return;
    default:
      return;
  }
}

/** Everything that the checklist says this event ends, beyond the standing table. */
export function endNamed(draft: Draft, lapse: Lapse, ran: number): void {
  for (const step of draft.state.plan.steps) {
    if (!step.unless.includes(lapse)) continue;
    draft.end([step.index], ENDED_BY[lapse]);
    endStanding(draft, step, ENDED_BY[lapse], ran);
  }
}

/** What ended a fact, in the words that a screen shows beside it. */
export const ENDED_BY = {
  time: 'its time ran out',
  leftSight: 'the machine was out of sight',
  panelTouched: 'the panel was touched',
  reEnergized: 'the source came back',
  moved: 'the machine was moved',
  instrumentDoubt: 'the instrument is in doubt',
  joined: 'somebody joined',
  parked: 'the job was parked',
  resumed: 'the job was resumed',
  handedOver: 'the job was handed over',
  windowOpened: 'a live window was opened',
} as const;

/** Everything that ends when people stop and come back, or one hands the job to another. */
export function endWatch(draft: Draft, why: string): void {
  const { plan } = draft.state;
  draft.end([...plan.ofKind.prove, ...plan.ofKind.tell, ...plan.ofKind.clear], why);
  plan.points.forEach((point) => {
    if ((draft.state.holders[point.index] ?? '') !== '') draft.end(point.isolateSteps, why);
  });
  draft.set({
    holders: draft.state.holders.map(() => ''),
    people: draft.state.people.map((person) => ({ ...person, on: 0, off: 0 })),
  });
}

/** A good check vouches for what the instrument read before it. */
export function settleInstrument(draft: Draft, id: string | undefined): void {
  if (id === undefined) return;
  draft.marks = draft.marks.map((mark, at) =>
    draft.facts[at]?.result?.instrument === id ? mark & ~UNCHECKED : mark,
  );
  draft.set({
    instruments: draft.state.instruments.map((each) =>
      each.card.id === id ? { ...each, doubted: false } : each,
    ),
  });
}

export function doubtInstrument(draft: Draft, id: string, why: string): void {
  const read = draft.marks.flatMap((mark, at) =>
    (mark & UNCHECKED) !== 0 && draft.facts[at]?.result?.instrument === id ? [at] : [],
  );
  draft.end(read, why);
  draft.set({
    instruments: draft.state.instruments.map((each) =>
      each.card.id === id ? { ...each, doubted: true } : each,
    ),
  });
}
