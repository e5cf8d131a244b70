/**
 * Jobs for the tests of the engine: given a checklist and what was done, when something is asked for,
 * it is accepted or refused. Time is two clocks of our own that move only when a test says so.
 */
import { expect } from 'vitest';
import type { Lapse, Step } from '#lib/core/checklist/model.ts';
import { decide, type Decision } from '#lib/core/job/decide.ts';
import type { Command, NewPerson, Order } from '#lib/core/job/commands.ts';
import type { JobEvent, Stamp, StepResult } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { planOf, type Plan } from '#lib/core/job/plan.ts';
import type { RefusalCode } from '#lib/core/job/refusal.ts';
import { sampleResult } from '#lib/core/job/sample-result.ts';
import { initialState, type JobState } from '#lib/core/job/state.ts';
import { viewOf } from '#lib/core/job/view.ts';
import type { JobView, StepState, StepView } from '#lib/core/job/view-types.ts';
import { checklistOf, checklistText } from './checklist-texts.ts';

export const SHA = 'c4'.repeat(32);

/** An order, by whom (the lead when nobody is named), and how long after the one before. */
export type Said = Order & { readonly by?: string; readonly after?: number };

type Now = Pick<Stamp, 'at' | 'mono' | 'boot'>;

export interface Job {
  readonly state: JobState;
  readonly events: readonly JobEvent[];
  readonly now: Now;
  readonly lead: string;
}

export interface Turn {
  readonly decision: Decision;
  /** The job after it, with the refused try in it when it was refused. */
  readonly job: Job;
}

export const MARA: NewPerson = {
  id: 'mara',
  name: 'Mara Lindqvist',
  competence: ['electrical', 'gas'],
};
export const ODE: NewPerson = {
  id: 'ode',
  name: 'Ode Brannigan',
  competence: ['electrical', 'gas'],
};
export const both = [MARA, ODE];

/** A lapse as somebody says it. */
export const lapse = (what: Lapse, more: object = {}): Said =>
  ({ command: 'lapse', what, ...more }) as Said;
/** A helper who is authorized for nothing. */
export const PIP: NewPerson = { id: 'pip', name: 'Pip Okonkwo', competence: [] };

export const METER = {
  id: 'meter-3',
  category: 'CAT III',
  volts: '600',
  due: '2027-03-01',
  percent: '0.5',
  counts: 2,
} as const;

export const SECOND = 1_000;
export const MINUTE = 60 * SECOND;

const plans = new Map<string, Plan>();

export function planNamed(name: string): Plan {
  const known = plans.get(name);
  if (known) return known;
  const folder = name === 'range-door-lock' ? 'shipped' : 'test';
  const plan = planOf(checklistOf(checklistText(`${name}.yaml`, folder)));
  plans.set(name, plan);
  return plan;
}

export const kiln = () => planNamed('glass-kiln-element');
export const lamp = () => planNamed('bench-lamp');
export const range = () => planNamed('range-door-lock');
/** Two hot feeds, gas, a live window and steps for two: see its file. */
export const dryer = () => planNamed('laundry-dryer');

const START = Date.parse('2026-11-25T08:00:00Z');

function moved(now: Now, ms: number): Now {
  return { ...now, at: new Date(Date.parse(now.at) + ms).toISOString(), mono: now.mono + ms };
}

/** A job on this plan that nobody has opened. */
export function unopened(plan: Plan): Job {
  return {
    state: initialState(plan, SHA),
    events: [],
    now: { at: new Date(START).toISOString(), mono: 5_000, boot: 'boot-1' },
    lead: MARA.id,
  };
}

export function open(people: readonly NewPerson[] = [MARA]): Said {
  return {
    command: 'open',
    site: 'Orchard Studio, 12 Weir Road',
    people,
    instruments: [METER],
  };
}

/** A job that was opened and in which all of this was accepted. */
export function given(plan: Plan, ...said: readonly Said[]): Job {
  return and(accepted(when(unopened(plan), open())), ...said);
}

/** The same with both people on it from the start. */
export function givenTwo(plan: Plan, ...said: readonly Said[]): Job {
  return and(accepted(when(unopened(plan), open([MARA, ODE]))), ...said);
}

export function and(job: Job, ...said: readonly Said[]): Job {
  return said.reduce((so, each) => accepted(when(so, each)), job);
}

export function commandOf(job: Job, said: Said): Command {
  const { by = job.lead, after = 5 * SECOND, ...order } = said;
  return { ...order, ...moved(job.now, after), by } as Command;
}

export function when(job: Job, said: Said): Turn {
  return submit(job, commandOf(job, said));
}

/** Whether the record can hold it: a part that is undefined is none, and cannot be written. */
const isWritable = (value: unknown): boolean =>
  value !== undefined &&
  (typeof value !== 'object' || value === null || Object.values(value).every(isWritable));

/** A command with its own stamp. */
export function submit(job: Job, command: Command): Turn {
  const decision = decide(job.state, command);
  for (const event of decision.events)
    if (!isWritable(event)) throw new Error(`${event.type} has a part that is undefined.`);
  const state = decision.events.reduce(evolve, job.state);
  const { at, mono, boot } = command;
  const now = decision.events.length > 0 ? { at, mono, boot } : job.now;
  return { decision, job: { ...job, state, events: [...job.events, ...decision.events], now } };
}

/** It was accepted; what stands in the way is said when it was not. */
export function accepted(turn: Turn): Job {
  if (!turn.decision.accepted) {
    throw new Error(turn.decision.refusals.map(({ code, says }) => `${code}: ${says}`).join('\n'));
  }
  return turn.job;
}

/** It was refused with this code; returns the first refusal of that code. */
export function refused(turn: Turn, code: RefusalCode, says?: string | RegExp) {
  expect(turn.decision.accepted).toBe(false);
  const codes = turn.decision.refusals.map((each) => each.code);
  expect(codes).toContain(code);
  const own = turn.decision.refusals.filter((each) => each.code === code);
  if (says !== undefined) {
    const text = own.map((each) => each.says).join('\n');
    if (typeof says === 'string') expect(text).toContain(says);
    else expect(text).toMatch(says);
  }
  const tried = turn.decision.events.at(-1);
  if (turn.decision.events.length > 0) expect(tried?.type).toBe('try.refused');
  return own[0] as (typeof own)[number];
}

/** It was refused, and for nothing else than these codes. */
export function refusedOnly(turn: Turn, ...codes: readonly RefusalCode[]): void {
  expect(turn.decision.accepted).toBe(false);
  const given = [...new Set(turn.decision.refusals.map((each) => each.code))].sort();
  expect(given).toEqual([...codes].sort());
}

/** Time passes and nothing is said. */
export function later(job: Job, ms: number): Job {
  return { ...job, now: moved(job.now, ms) };
}

export const does = (step: string, result: StepResult = {}, by?: string): Said => ({
  command: 'do',
  step,
  result,
  ...(by === undefined ? {} : { by }),
});

export const says = (order: Order, by?: string): Said =>
  by === undefined ? order : { ...order, by };

export const views = (job: Job, by = job.lead): JobView => viewOf(job.state, job.now, by);

export function stepOf(job: Job, id: string, by = job.lead): StepView {
  const found = views(job, by).steps.find((step) => step.id === id);
  if (!found) throw new Error(`There is no step ${id}.`);
  return found;
}

/** The steps in this state of the view, in file order. */
export function stepsIn(job: Job, state: StepState, by = job.lead): string[] {
  return views(job, by)
    .steps.filter((step) => step.state === state)
    .map((step) => step.id);
}

/** A good result for a step as the plan asks for it now. */
export function goodResult(job: Job, step: string, by = job.lead): StepResult {
  const at = job.state.plan.stepIndex.get(step);
  const plan = at === undefined ? undefined : job.state.plan.steps[at];
  if (!plan) throw new Error(`There is no step ${step}.`);
  if (plan.do === 'disconnect') return { connectors: CONNECTORS.slice(0, 2) };
  if (plan.do === 'reseat') {
    return { connector: job.state.connectors.find((each) => each.open)?.id ?? '' };
  }
  return sampleResult(job.state, plan, by);
}

export const CONNECTORS = [
  { id: 'w1', label: 'black', terminal: 'L1' },
  { id: 'w2', label: 'red', terminal: 'L2' },
] as const;

export interface Walk {
  /** The outcome of each `choose` step; the first option when it is not named. */
  readonly options?: Readonly<Record<string, string>>;
}

/**
 * Does what the screen shows, step after step with good results, until `until` is the step to do, or
 * until nothing is left. Waits are waited for; whoever may do a step does it.
 */
export function walk(job: Job, until?: string, how: Walk = {}): Job {
  let so = job;
  for (let turns = 0; turns < 400; turns++) {
    const present = so.state.people.filter((person) => person.present).map(({ id }) => id);
    const { view, by } = shownTo(so, present);
    const current = view.current;
    if (view.window && !current) {
      so = and(so, { command: 'endWindow', by });
      continue;
    }
    if (!current || current.id === until) return so;
    const wait = current.refusals.find((each) => each.remaining !== undefined)?.remaining;
    if (wait !== undefined) {
      so = later(so, wait);
      continue;
    }
    so = and(so, step(so, current, by, how));
  }
  throw new Error(`The walk to ${until ?? 'the end'} does not end.`);
}

/** The view of the first of these people who may do the step that is shown. */
function shownTo(job: Job, people: readonly string[]): { view: JobView; by: string } {
  const [first = job.lead, ...others] = people;
  const shown = { view: views(job, first), by: first };
  if (shown.view.current?.refusals.length === 0) return shown;
  for (const by of others) {
    const view = views(job, by);
    if (view.current?.refusals.length === 0) return { view, by };
  }
  return shown;
}

function step(job: Job, current: StepView, by: string, how: Walk): Said {
  const source = job.state.plan.steps[current.index]?.step;
  if (source?.do === 'window') {
    const reason = 'Voltage under command';
    return { command: 'window', source: source.source, reason, readBack: 'dryer circuit 7', by };
  }
  const option = how.options?.[current.id];
  const result = option === undefined ? goodResult(job, current.id, by) : { option };
  return { command: 'do', step: current.id, result, by };
}

const reached = new Map<string, Job>();

/** A job that has come to this step, alone or with two people, with nothing out of the ordinary. */
export function at(plan: Plan, step: string, people: readonly NewPerson[] = [MARA]): Job {
  const key = [plan.checklist.id, step, ...people.map(({ id }) => id)].join(' ');
  const known = reached.get(key);
  if (known) return known;
  const job = walk(accepted(when(unopened(plan), open(people))), step);
  if (views(job).current?.id !== step) throw new Error(`The way does not lead to ${step}.`);
  reached.set(key, job);
  return job;
}

/** A job with everything done, not closed yet. */
export function finished(plan: Plan, people: readonly NewPerson[] = [MARA]): Job {
  const key = [plan.checklist.id, '', ...people.map(({ id }) => id)].join(' ');
  const job = reached.get(key) ?? walk(accepted(when(unopened(plan), open(people))));
  reached.set(key, job);
  return job;
}

export const close: Said = { command: 'close' };

/** The lamp with a lock on its plug: each hangs a lock of their own. */
export const lockedLamp: Plan = (() => {
  const at = { source: 'mains', point: 'plug' } as const;
  const on: Step = {
    ...at,
    id: 'plug-lock',
    phase: 'isolate',
    do: 'lock',
    say: 'Lock the plug.',
    keeps: { unless: ['panelTouched'] },
  };
  const off: Step = {
    ...at,
    id: 'plug-unlock',
    phase: 'restore',
    do: 'unlock',
    say: 'Unlock the plug.',
  };
  const steps = lamp().checklist.steps.flatMap((step) =>
    step.id === 'dead' ? [on, step] : step.id === 'plug-in' ? [off, step] : [step],
  );
  return planOf({ ...lamp().checklist, id: 'lamp-locked', steps });
})();
