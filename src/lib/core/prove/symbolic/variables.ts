/**
 * A job's state as yes-or-no variables: which there are under a checklist, in which order, and how a state of
 * the engine sets them. What no gate asks (who and when of a fact, words, times) has no variable; people
 * are told apart.
 */
import type { Bounds } from '../../job/enabled-commands.ts';
import type { Plan, PlanStep } from '../../job/plan.ts';
import {
  FRESH,
  NOT_APPLICABLE,
  NOT_DONE,
  OPEN,
  PART,
  SETTLED,
  UNCHECKED,
  UNKNOWN,
  type JobState,
} from '../../job/state.ts';
import { askers } from '../../job/wanted.ts';
import { samplesOf, type Sample } from '../compact/samples.ts';

/** No variable: the answer is always no. */
export const NONE = -1;

export interface StepVariables {
  readonly settled: number;
  readonly fresh: number;
  readonly unchecked: number;
  readonly notDone: number;
  readonly ruledOut: number;
  readonly part: number;
  /** For a live window: it is open. */
  readonly window: number;
  /** Of a step with two hands: who gave the first one, and what a choice said. */
  readonly hand: readonly number[];
  readonly said: readonly number[];
}

export interface Variables {
  readonly plan: Plan;
  readonly people: readonly string[];
  readonly samples: readonly Sample[];
  /** How many there are; a variable is a place from 0. */
  readonly count: number;
  /** Statuses other than at work; an end has no variables, it is no state to go on from. */
  readonly down: number;
  readonly parkedUsable: number;
  readonly parkedShut: number;
  readonly counted: number;
  readonly doubted: number;
  readonly steps: readonly StepVariables[];
  /** By point. */
  readonly open: readonly number[];
  readonly unknown: readonly number[];
  readonly holders: readonly (readonly number[])[];
  /** By point and person: hangs there, and counts. */
  readonly own: readonly (readonly number[])[];
  readonly ownSure: readonly (readonly number[])[];
  readonly firm: readonly (readonly number[])[];
  readonly firmSure: readonly (readonly number[])[];
  readonly ends: readonly number[];
  /** By disconnect step, in their order: at least one off, at least two, …; and back. */
  readonly off: readonly (readonly number[])[];
  readonly back: readonly (readonly number[])[];
  /** By source. */
  readonly caseLive: readonly number[];
  /** By person: here; was here at some time. */
  readonly here: readonly number[];
  readonly known: readonly number[];
  /** By person and worn item. */
  readonly on: readonly (readonly number[])[];
  readonly bare: readonly (readonly number[])[];
}

export function leastOf(step: PlanStep): number {
  return step.step.do === 'disconnect' ? (step.step.expect?.least ?? 1) : 1;
}

/** Whether a fact of this step can matter: something asks for it, or the end of the job does. */
function canBeFresh(plan: Plan, step: PlanStep): boolean {
  if (['case', 'sign', 'choose'].includes(step.do)) return true;
  return askers(plan, step.index).length > 0;
}

/** Steps that `leaveClosed` may leave out, and those that a person may. */
function canBeLeftOut(plan: Plan, step: PlanStep): boolean {
  if (step.step.optional === true) return true;
  if (step.do !== 'close') return false;
  return plan.steps.some(
    (opening) =>
      opening.do === 'open' &&
      opening.end === step.end &&
      (opening.when.length > 0 || opening.step.optional === true),
  );
}

export function variablesOf(plan: Plan, bounds: Bounds): Variables {
  let count = 0;
  const one = (exists = true): number => (exists ? count++ : NONE);
  const each = <T>(list: readonly T[], exists: (item: T) => boolean = () => true): number[] =>
    list.map((item) => one(exists(item)));
  const people = bounds.people.map((person) => person.id);
  const samples = samplesOf(plan, bounds);
  /*
   * The order of the variables decides how large the diagrams are. From the last step to the first: where the
   * job has come to is known before any fact below it is looked at, and with it which facts are asked for.
   */
  const marks = [...plan.steps].reverse().map((step) => {
    const can = canBeFresh(plan, step);
    return {
      settled: one(),
      part: one(step.twice || step.do === 'unlock' || step.do === 'reseat'),
      window: one(step.do === 'window'),
      notDone: one(canBeLeftOut(plan, step)),
      ruledOut: one(step.when.length > 0),
      hand: step.twice ? each(people) : [],
      said: step.twice && step.step.do === 'choose' ? each(Object.keys(step.step.options)) : [],
      fresh: one(can),
      unchecked: one(can && (samples[step.index]?.measured ?? false)),
    };
  });
  const ends = each(plan.ends);
  const most = (at: number) => Math.max(leastOf(plan.steps[at] as PlanStep), bounds.connectors);
  const counts = plan.ofKind.disconnect.map((at) => {
    const off = each(Array.from({ length: most(at) }));
    return { off, back: each(Array.from({ length: most(at) })) };
  });
  const [down, parkedUsable, parkedShut] = [one(), one(), one()];
  const known = people.map((_, person) => one(person > 0));
  const here = each(people);
  const items = plan.items.map((_, item) => ({
    on: plan.ofKind.wear.some((at) => (((plan.steps[at]?.on ?? 0) >> item) & 1) === 1),
    off: plan.ofKind.wear.some((at) => (((plan.steps[at]?.off ?? 0) >> item) & 1) === 1),
  }));
  const worn = people.map(() => ({
    on: each(items, (item) => item.on),
    bare: each(items, (item) => item.off),
  }));
  const hung = plan.points.map((point) => {
    const lockable = point.lockSteps.length > 0;
    return {
      open: one(),
      unknown: one(),
      holders: people.map(() => one(point.control === 'exclusive')),
      locks: people.map(() => ({
        own: one(lockable),
        ownSure: one(lockable),
        firm: one(),
        firmSure: one(),
      })),
    };
  });
  const counted = one();
  const caseLive = each(plan.sources, (source) => source.metalCase);
  const doubted = one();
  return {
    plan,
    people,
    samples,
    count,
    down,
    parkedUsable,
    parkedShut,
    counted,
    doubted,
    steps: marks.reverse(),
    open: hung.map((point) => point.open),
    unknown: hung.map((point) => point.unknown),
    holders: hung.map((point) => point.holders),
    own: hung.map((point) => point.locks.map((lock) => lock.own)),
    ownSure: hung.map((point) => point.locks.map((lock) => lock.ownSure)),
    firm: hung.map((point) => point.locks.map((lock) => lock.firm)),
    firmSure: hung.map((point) => point.locks.map((lock) => lock.firmSure)),
    ends,
    off: counts.map((each) => each.off),
    back: counts.map((each) => each.back),
    caseLive,
    here,
    known,
    on: worn.map((each) => each.on),
    bare: worn.map((each) => each.bare),
  };
}

/** How a state of the engine that is open and at work, down or parked sets the variables. */
export function settingsOf(of: Variables, state: JobState): Uint8Array {
  const settings = new Uint8Array(of.count);
  const set = (place: number | undefined, value: boolean, what: string) => {
    if (place === undefined || place === NONE) {
      if (value) throw new Error(`The engine set what has no variable: ${what}.`);
    } else settings[place] = value ? 1 : 0;
  };
  const { plan, people } = of;
  const person = (id: string) => people.indexOf(id);
  set(of.down, state.status === 'downTools', 'down');
  set(of.parkedUsable, state.status === 'parkedUsable', 'parked');
  set(of.parkedShut, state.status === 'parkedShut', 'parked');
  set(of.counted, state.counted > 0 && state.counted <= plan.sources.length, 'counted');
  set(
    of.doubted,
    state.instruments.some((each) => each.doubted),
    'doubted',
  );
  for (const step of plan.steps) {
    const variables = of.steps[step.index] as StepVariables;
    const mark = state.marks[step.index] ?? 0;
    const has = (bit: number) => (mark & bit) !== 0;
    set(variables.settled, has(SETTLED), `${step.id} settled`);
    set(variables.fresh, has(FRESH), `${step.id} fresh`);
    set(variables.unchecked, has(FRESH) && has(UNCHECKED), `${step.id} unchecked`);
    set(variables.notDone, has(NOT_DONE), `${step.id} left out`);
    set(variables.ruledOut, has(NOT_APPLICABLE), `${step.id} ruled out`);
    const window = state.window?.step === step.index;
    set(variables.window, window, `${step.id} open`);
    set(variables.part, has(PART) && !window, `${step.id} in part`);
    if (!step.twice || !has(PART)) continue;
    const fact = state.facts[step.index];
    set(variables.hand[person(fact?.by ?? '')], true, `${step.id} first hand`);
    const options = step.step.do === 'choose' ? Object.keys(step.step.options) : [];
    const option = fact?.result?.option;
    if (option !== undefined) set(variables.said[options.indexOf(option)], true, `${step.id} said`);
  }
  plan.points.forEach((point, at) => {
    set(of.open[at], state.points[at] === OPEN, point.id);
    set(of.unknown[at], state.points[at] === UNKNOWN, point.id);
    const holder = state.holders[at] ?? '';
    if (holder !== '') set(of.holders[at]?.[person(holder)], true, `${point.id} held`);
  });
  for (const lock of state.locks) {
    const [hung, sure] = lock.parked ? [of.firm, of.firmSure] : [of.own, of.ownSure];
    set(hung[lock.point]?.[person(lock.owner)], true, `lock ${lock.number}`);
    set(sure[lock.point]?.[person(lock.owner)], lock.sure, `lock ${lock.number}`);
  }
  plan.ends.forEach((end, at) => set(of.ends[at], ((state.openEnds >> at) & 1) === 1, end.id));
  plan.ofKind.disconnect.forEach((step, at) => {
    const own = state.connectors.filter((each) => each.step === step);
    const off = own.filter((each) => each.open).length;
    of.off[at]?.forEach((place, least) => set(place, off > least, 'off'));
    of.back[at]?.forEach((place, least) => set(place, own.length - off > least, 'back'));
  });
  plan.sources.forEach((source, at) => {
    set(of.caseLive[at], ((state.caseLive >> at) & 1) === 1, source.id);
  });
  for (const each of state.people) {
    const at = person(each.id);
    if (at > 0) set(of.known[at], true, each.id);
    set(of.here[at], each.present, each.id);
    plan.items.forEach((item, place) => {
      set(of.on[at]?.[place], ((each.on >> place) & 1) === 1, item);
      set(of.bare[at]?.[place], ((each.off >> place) & 1) === 1, item);
    });
  }
  return settings;
}
