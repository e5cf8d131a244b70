/**
 * Whether anything ahead still asks for a fact.
 *
 * A fact that nothing ahead asks for has served: its step stays in the record and in the order, but it
 * no longer stands for anything, may not be done a second time, and would have to be stated anew if a
 * step that asks for it came up again. So after an interruption only what lapsed *and matters* is asked.
 */
import type { Plan, PlanStep } from './plan.ts';
import { CLOSED, FRESH, hasOwnLock, isSettled, OPEN, SETTLED, type JobState } from './state.ts';

/** The roll call that a step waits for: the last one above it. */
export function rollCallOf(plan: Plan, step: number): number | undefined {
  return plan.ofKind.clear.findLast((at) => at < step) ?? plan.ofKind.clear[0];
}

/** The steps whose gates ask about the fact of this one, from the plan alone. */
function askersOf(plan: Plan, step: PlanStep): number[] {
  const asks = (later: PlanStep): boolean => {
    if (later.needs.includes(step.index)) return true;
    const energizes = later.do === 'restore' || later.do === 'window';
    switch (step.do) {
      case 'prove':
        return (
          later.exposes.includes(step.source) ||
          later.wantsDead.includes(step.source) ||
          (later.hands && (plan.sources[step.source]?.metalCase ?? false))
        );
      case 'release':
        return later.exposes.includes(step.source);
      case 'tell':
        return later.index > step.index && (later.exposes.length > 0 || energizes);
      case 'clear':
        return (later.do === 'unlock' || energizes) && rollCallOf(plan, later.index) === step.index;
      case 'open':
        return later.exposes.length > 0 && plan.ends[step.end]?.kind === 'prop';
      case 'wear':
        return (later.wearing & step.on) !== 0 || (later.bare & step.off) !== 0;
      default:
        return false;
    }
  };
  return plan.steps
    .filter((later) => later.index !== step.index && asks(later))
    .map((each) => each.index);
}

const cache = new WeakMap<Plan, readonly (readonly number[])[]>();

/** The steps whose gates ask about the fact of this one, by index. */
export function askers(plan: Plan, step: number): readonly number[] {
  let table = cache.get(plan);
  if (!table) {
    table = plan.steps.map((each) => askersOf(plan, each));
    cache.set(plan, table);
  }
  return table[step] ?? [];
}

/** The steps on whose behalf something is asked, the nearest first. */
interface Asking {
  readonly step: number;
  readonly before: Asking | undefined;
}

function isAsking(asking: Asking | undefined, step: number): boolean {
  for (let each = asking; each; each = each.before) if (each.step === step) return true;
  return false;
}

/**
 * A step that was done and has to be done again before something ahead can go on. `asking` are the steps
 * on whose behalf it is asked: two props that are raised twice would otherwise ask each other for ever.
 */
function isPending(state: JobState, step: PlanStep, asking: Asking | undefined): boolean {
  if (!isSettled(state, step.index)) return true;
  if (isAsking(asking, step.index)) return false;
  switch (step.do) {
    case 'isolate': {
      const point = state.plan.points[step.point];
      const held = point?.control !== 'exclusive' || state.holders[step.point] !== '';
      if (state.points[step.point] === OPEN && held) return false;
      return state.points[step.point] !== CLOSED || isSourceWanted(state, step.source, asking);
    }
    case 'lock':
      return isSourceWanted(state, step.source, asking) && !everyoneLocked(state, step.point);
    case 'window':
      return step.allows.some((at) => !isSettled(state, at));
    case 'open':
      if (!isOpen(state, step)) return false;
      return ((state.marks[step.index] ?? 0) & FRESH) === 0 && isWanted(state, step, asking);
    default:
      return ((state.marks[step.index] ?? 0) & FRESH) === 0 && isWanted(state, step, asking);
  }
}

function isOpen(state: JobState, step: PlanStep): boolean {
  return (state.openEnds & (1 << step.end)) !== 0;
}

const wanting = new WeakMap<Plan, readonly (readonly number[])[]>();

/** By source: the steps that expose somebody to it or prove it, worked out once for a plan. */
export function wantersOf(plan: Plan, source: number): readonly number[] {
  let table = wanting.get(plan);
  if (!table) {
    table = plan.sources.map(({ index }) =>
      plan.steps
        .filter(
          (step) => step.exposes.includes(index) || (step.do === 'prove' && step.source === index),
        )
        .map((step) => step.index),
    );
    wanting.set(plan, table);
  }
  return table[source] ?? [];
}

/**
 * Whether a step that exposes somebody to this source is still ahead, or has to be done again. A proof that is asked
 * again is so on behalf of such a step, or of a cut that is in doubt itself, and asks for no cut of its own.
 */
function isSourceWanted(state: JobState, source: number, asking?: Asking): boolean {
  const wanters = wantersOf(state.plan, source);
  for (const step of wanters) if (!isSettled(state, step)) return true;
  for (const at of wanters) {
    const step = state.plan.steps[at];
    if (step?.exposes.includes(source) === true && isPending(state, step, asking)) return true;
  }
  return false;
}

/** Whether something ahead asks for the fact of this step. */
export function isWanted(state: JobState, step: PlanStep, before?: Asking): boolean {
  if (step.do === 'case' || step.do === 'sign') return true; /* the end of the job asks for both */
  if (step.do === 'choose') return true; /* an outcome stands until it is corrected */
  const asked = askers(state.plan, step.index);
  /* Most often one of them is simply still to come: that is asked first, since it is cheap. */
  for (const at of asked) if (!isSettled(state, at)) return true;
  const asking: Asking = { step: step.index, before };
  for (const at of asked) {
    const later = state.plan.steps[at];
    if (later && isPending(state, later, asking)) return true;
  }
  return false;
}

function everyoneLocked(state: JobState, point: number): boolean {
  return state.people.every(({ present, id }) => !present || hasOwnLock(state, point, id));
}

/** Whether a step that was done has to be done again for something ahead: what a screen asks for. */
export function isDueAgain(state: JobState, step: PlanStep): boolean {
  const mark = state.marks[step.index] ?? 0;
  if ((mark & SETTLED) === 0) return false;
  const point = state.plan.points[step.point];
  switch (step.do) {
    case 'isolate': {
      if (!isSourceWanted(state, step.source)) return false;
      if (state.points[step.point] !== OPEN) return true;
      return point?.control === 'exclusive' && state.holders[step.point] === '';
    }
    case 'lock':
      return isSourceWanted(state, step.source) && !everyoneLocked(state, step.point);
    case 'open':
      return isOpen(state, step) && (mark & FRESH) === 0 && isWanted(state, step);
    case 'wear':
      return false; /* a personal matter: its own gate asks whoever is about to act */
    default:
      return (mark & FRESH) === 0 && isWanted(state, step);
  }
}

/** The first step above this one that has to be done again before it: lapses are mended in order. */
export function dueBefore(state: JobState, step: PlanStep): PlanStep | undefined {
  for (const earlier of state.plan.steps) {
    if (earlier.index >= step.index) return undefined;
    if (isDueAgain(state, earlier)) return earlier;
  }
  return undefined;
}
