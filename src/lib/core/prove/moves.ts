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
import { sampleResult } from '../job/sample-result.ts';
import type { JobState } from '../job/state.ts';

export interface Move {
  readonly command: Command;
  readonly events: readonly JobEvent[];
}

const AT = '2026-01-01T12:00:00Z';
const BOOT = 'explored';
const ZERO = { at: AT, mono: 0, boot: BOOT } as const;

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

/** Connectors are alike: the first that is off stands for each that could be reseated next. */
function isTwin(state: JobState, command: Command): boolean {
  if (command.command !== 'do' || command.result.connector === undefined) return false;
  const first = state.connectors.find((each) => each.open);
  return first?.id !== command.result.connector;
}

function longestWait(state: JobState): number {
  let wait = 0;
  for (const source of state.plan.sources) {
    if ((state.cutAt[source.index] ?? -1) >= 0) wait = Math.max(wait, source.waitMs);
  }
  return wait;
}

/** Releases that only a wait stands against. */
function waited(state: JobState, bounds: Bounds): Move[] {
  const wait = longestWait(state);
  if (wait === 0 || state.status !== 'atWork') return [];
  const pending = state.plan.ofKind.release.some((at) => {
    const step = state.plan.steps[at];
    return (state.plan.sources[step?.source ?? -1]?.waitMs ?? 0) > 0;
  });
  if (!pending) return [];
  const now = { ...ZERO, mono: wait };
  return enabledCommands(state, bounds, now, (step) => step.do === 'release').map((each) => ({
    command: each.command,
    events: each.weighed.events,
  }));
}

function spoilt(result: StepResult, how: 'live' | 'meter'): StepResult {
  if (how === 'meter') return { ...result, before: { expected: '120', shown: '177', unit: 'V' } };
  const pairs = Object.keys(result.pairs ?? {}).map((pair) => [pair, { value: '118', unit: 'V' }]);
  return { ...result, pairs: Object.fromEntries(pairs) };
}

/** Tests that may be taken now and show danger: refused as results, but what they show is known. */
function dangers(state: JobState): Move[] {
  if (state.status !== 'atWork') return [];
  const by = state.people.find((person) => person.present)?.id ?? '';
  const moves: Move[] = [];
  for (const at of [...state.plan.ofKind.case, ...state.plan.ofKind.prove]) {
    const step = state.plan.steps[at];
    if (!step || stepBlocks(state, step, by, true).length > 0) continue;
    for (const how of ['live', 'meter'] as const) {
      const result = spoilt(sampleResult(state, step, by), how);
      const command: Command = { ...ZERO, by, command: 'do', step: step.id, result };
      const decision = decide(state, command);
      moves.push({ command, events: decision.events });
    }
  }
  return moves;
}

/** Every move out of a state, in an order that depends on the state alone. */
export function movesFrom(state: JobState, bounds: Bounds): Move[] {
  const moves: Move[] = [];
  for (const { command, weighed } of enabledCommands(state, bounds, ZERO)) {
    if (!isTwin(state, command)) moves.push({ command, events: weighed.events });
  }
  moves.push(...waited(state, bounds), ...dangers(state));
  return moves;
}
