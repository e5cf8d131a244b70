/**
 * Everything that can happen next in a job, from the real engine: each accepted command, each with the
 * clock where it stands or where a wait is over, and each measurement that shows danger.
 *
 * Time is abstracted: the running clock stands at zero in every explored state, a shelf life ends by a
 * lapse that may be stated at any moment, and a wait may be over at any moment after it began.
 */
import type { Command } from '../job/commands.ts';
import { decide } from '../job/decide.ts';
import { enabledCommands, type Bounds } from '../job/enabled-commands.ts';
import type { JobEvent, StepResult } from '../job/events.ts';
import { evolve } from '../job/evolve.ts';
import { stepBlocks } from '../job/gates.ts';
import type { PlanStep } from '../job/plan.ts';
import { sampleResult } from '../job/sample-result.ts';
import type { JobState } from '../job/state.ts';

export interface Move {
  readonly command: Command;
  readonly events: readonly JobEvent[];
}

export const AT = '2026-01-01T12:00:00Z';
const BOOT = 'explored';
export const ZERO = { at: AT, mono: 0, boot: BOOT } as const;

/** The clock of every explored state. */
const STILL = { ...ZERO, ran: 0 };

/** The state that an event leads to, its clock put back to zero. */
export function after(state: JobState, events: readonly JobEvent[]): JobState {
  const next = events.reduce(evolve, state);
  const cutAt = next.cutAt.map((at) => (at < 0 ? at : 0));
  const aged = next.facts.some((fact) => fact !== undefined && fact.ran !== 0);
  return {
    ...next,
    clock: STILL,
    cutAt,
    facts: aged
      ? next.facts.map((fact) => (fact === undefined ? fact : { ...fact, ran: 0 }))
      : next.facts,
  };
}

/** Connectors of one step are alike: the first that is off stands for each that could be reseated next. */
function isTwin(state: JobState, command: Command): boolean {
  if (command.command !== 'do' || command.result.connector === undefined) return false;
  const { connector } = command.result;
  const own = state.connectors.find((each) => each.id === connector)?.step;
  return state.connectors.find((each) => each.open && each.step === own)?.id !== connector;
}

function longestWait(state: JobState): number {
  let wait = 0;
  for (const source of state.plan.sources) {
    if ((state.cutAt[source.index] ?? -1) >= 0) wait = Math.max(wait, source.waitMs);
  }
  return wait;
}

function isWaitedFor(state: JobState, step: PlanStep): boolean {
  return step.do === 'release' && (state.plan.sources[step.source]?.waitMs ?? 0) > 0;
}

/**
 * Releases that only a wait stands against. Facts made meanwhile are as new as can be: what grows old
 * during a wait lapses by a move of its own.
 */
function waited(state: JobState, bounds: Bounds): Move[] {
  const wait = longestWait(state);
  if (wait === 0 || state.status !== 'atWork') return [];
  const later: JobState = {
    ...state,
    clock: { ...STILL, ran: wait },
    facts: state.facts.map((fact) => (fact === undefined ? fact : { ...fact, ran: wait })),
  };
  const releases = (step: PlanStep) => isWaitedFor(state, step);
  return enabledCommands(later, bounds, ZERO, releases).map(({ command, weighed }) => ({
    command: { ...command, mono: wait },
    events: weighed.events.map((event) => ({ ...event, mono: wait })),
  }));
}

/** A pair that is live, or a meter that fails on its known source. */
export const SPOILT = ['live', 'meter'] as const;

export function spoilt(result: StepResult, how: (typeof SPOILT)[number]): StepResult {
  if (how === 'meter') return { ...result, before: { expected: '120', shown: '177', unit: 'V' } };
  const pairs = Object.keys(result.pairs ?? {}).map((pair) => [pair, { value: '118', unit: 'V' }]);
  return { ...result, pairs: Object.fromEntries(pairs) };
}

/** Tests that may be taken now and show danger: refused as results, but what they show is known. */
function dangers(state: JobState): Move[] {
  if (state.status !== 'atWork') return [];
  const present = state.people.filter((person) => person.present).map((person) => person.id);
  const moves: Move[] = [];
  for (const at of [...state.plan.ofKind.case, ...state.plan.ofKind.prove]) {
    const step = state.plan.steps[at];
    const by = step && present.find((each) => stepBlocks(state, step, each, true).length === 0);
    if (!step || by === undefined) continue;
    for (const how of SPOILT) {
      const result = spoilt(sampleResult(state, step, by), how);
      const command: Command = { ...ZERO, by, command: 'do', step: step.id, result };
      const decision = decide(state, command);
      moves.push({ command, events: decision.events });
    }
  }
  return moves;
}

/**
 * Every move out of a state, in an order that depends on the state alone.
 * @param names leaves out what no command of these names does
 */
export function movesFrom(
  state: JobState,
  bounds: Bounds,
  names?: ReadonlySet<Command['command']>,
): Move[] {
  const moves: Move[] = [];
  for (const { command, weighed } of enabledCommands(state, bounds, ZERO, undefined, names)) {
    if (!isTwin(state, command)) moves.push({ command, events: weighed.events });
  }
  moves.push(...waited(state, bounds), ...dangers(state));
  return moves;
}
