// A job that was done by script up to a step: the events of the shipped range job, before anybody seals them.
import { readFileSync } from 'node:fs';
import type { Command, Order } from '#lib/core/job/commands.ts';
import { decide, type Decision } from '#lib/core/job/decide.ts';
import type { JobEvent, StepResult } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState, type JobState } from '#lib/core/job/state.ts';
import { viewOf } from '#lib/core/job/view.ts';
import type { StepState } from '#lib/core/job/view-types.ts';
import { readChecklistText, type LoadedChecklist } from '#lib/device/checklists.ts';

const file = (path: string) => readFileSync(new URL(`../../${path}`, import.meta.url), 'utf8');

/** Everything that was ordered and what came of it; immutable. */
export interface Prepared {
  readonly loaded: LoadedChecklist;
  readonly events: readonly JobEvent[];
  readonly state: JobState;
  readonly last: Command;
}

/**
 * The range job of `tests/replays` up to this step, which is the next to be done.
 * @param change what a firm changed in its own copy of the list
 */
export async function rangeUntil(
  step: string,
  change: (yaml: string) => string = (yaml) => yaml,
): Promise<Prepared> {
  const loaded = await readChecklistText(change(file('checklists/range-door-lock.yaml')));
  if (!loaded.ok) throw new Error(loaded.trouble.says);
  const commands = file('tests/replays/range-whole-job.jsonl')
    .trim()
    .split('\n')
    .map((line): Command => {
      const read = parseCommand(JSON.parse(line));
      if (!read.ok) throw new Error(read.says);
      return read.command;
    });
  const end = commands.findIndex((each) => each.command === 'do' && each.step === step);
  const [first, ...others] = commands.slice(0, end);
  if (first === undefined) throw new Error(`The script has no step ${step}.`);
  const plan = planOf(loaded.value.checklist);
  const state = initialState(plan, loaded.value.row.sha256);
  const start: Prepared = { loaded: loaded.value, events: [], state, last: first };
  return others.reduce((job, each) => submit(job, each).job, submit(start, first).job);
}

/**
 * The same job taken for undecided by every dead test, up to its live window: connectors home, clips on,
 * covers back, everybody clear and the lock off.
 */
export async function rangeUntilLive(change?: (yaml: string) => string): Promise<Prepared> {
  const whole = await rangeUntil('done');
  const resultsOf = (step: string): readonly StepResult[] =>
    whole.events.flatMap((each) =>
      each.type === 'step.done' && each.body.step === step ? [each.body.result] : [],
    );
  const steps: readonly (readonly [string, StepResult])[] = [
    ['verdict', { option: 'undecided' }],
    ['clips', {}],
    ...resultsOf('rewire').map((result) => ['rewire-live', result] as const),
    ['top-down-live', {}],
    ['rear-on-live', {}],
    ['clear-live', resultsOf('clear')[0] ?? {}],
    ['unlock-live', resultsOf('unlock')[0] ?? {}],
  ];
  return ordered(
    await rangeUntil('verdict', change),
    steps.map(([step, result]) => ({ command: 'do', step, result })),
  );
}

export function submit(job: Prepared, command: Command): { job: Prepared; decision: Decision } {
  const decision = decide(job.state, command);
  const state = decision.events.reduce(evolve, job.state);
  const events = [...job.events, ...decision.events];
  return { decision, job: { ...job, state, events, last: command } };
}

/** The same, so much later, on a device that ran on meanwhile (or on another run of it). */
export function later(job: Prepared, ms: number, boot = job.last.boot) {
  const at = new Date(Date.parse(job.last.at) + ms).toISOString().replace('Z', '+00:00');
  const mono = boot === job.last.boot ? job.last.mono + ms : ms;
  return { at, mono, boot };
}

/** The same job after these orders, each accepted, by whoever acted last. */
export function ordered(job: Prepared, orders: readonly Order[], ms = 10_000): Prepared {
  return orders.reduce((before, order) => {
    const turn = submit(before, { ...order, ...later(before, ms), by: before.last.by });
    if (turn.decision.accepted) return turn.job;
    const why = turn.decision.refusals.map(({ says }) => says).join(' ');
    throw new Error(`${order.command}: ${why}`);
  }, job);
}

/** The steps in one state as the hand of `by` sees them, in order. */
export function stepsIn(
  { state, last }: Prepared,
  wanted: StepState,
  { at, mono, boot, by }: Pick<Command, 'at' | 'mono' | 'boot' | 'by'> = last,
): readonly string[] {
  return viewOf(state, { at, mono, boot }, by)
    .steps.filter((step) => step.state === wanted)
    .map(({ id }) => id);
}
