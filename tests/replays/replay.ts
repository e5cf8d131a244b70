/**
 * The replay of an accident: what was known before it, the act that hurt somebody, the words that
 * the engine refuses it with, and what would have opened it.
 */
import { readFileSync } from 'node:fs';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { Checklist } from '#lib/core/checklist/model.ts';
import type { Command, Order } from '#lib/core/job/commands.ts';
import { decide, type Decision } from '#lib/core/job/decide.ts';
import type { Instrument, JobEvent, LeftOpen, StepResult } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { planOf } from '#lib/core/job/plan.ts';
import type { RefusalCode } from '#lib/core/job/refusal.ts';
import { initialState } from '#lib/core/job/state.ts';
import type { PropertyId } from '#lib/core/safety/index.ts';
import type { Engine, Rule } from '../support/edited-engine.ts';

/** One tap of one person; or minutes that go by. */
export type Tap = (Order & { readonly by: string }) | { readonly minutes: number };

export interface Attempt {
  /** What the person reached for, in words. */
  readonly tries: string;
  /** What was done before, all of it accepted. */
  readonly given: readonly Tap[];
  readonly attempt: Tap;
  /** The code that has to be among the refusals. */
  readonly refused: RefusalCode;
  /** What then opens it; `never` with what is offered in its place. */
  readonly opens: readonly Tap[] | { readonly never: readonly Tap[] };
  /**
   * The interlocks that stand in the way; without the first of these and of the rules the code is not
   * said, without all of them the act passes. One of the two lists names something.
   */
  readonly gates?: readonly string[];
  /** Where no interlock is: the rules of reading a result, or of leaving, that stand in the way. */
  readonly rules?: readonly Rule[];
  /** The properties that the act would break, were the gates not there. */
  readonly breaks?: readonly PropertyId[];
}

export interface Replay {
  readonly id: string;
  /** The public report. */
  readonly report: string;
  /** What happened, in our words. */
  readonly happened: string;
  /** A file of `checklists/` beside this one. */
  readonly checklist: string;
  readonly attempts: readonly Attempt[];
}

export function checklistOf(replay: Replay): Checklist {
  const file = new URL(`./checklists/${replay.checklist}.yaml`, import.meta.url);
  const loaded = loadChecklist(readFileSync(file, 'utf8'));
  if (loaded.ok) return loaded.checklist;
  throw new Error(loaded.problems.map(({ path, says }) => `${path}: ${says}`).join('\n'));
}

export interface Played {
  readonly decisions: readonly { readonly tap: Tap; readonly decision: Decision }[];
  readonly events: readonly JobEvent[];
}

const begun = Date.parse('2026-11-25T09:00:00Z');
const secondsBetween = 5;

const REAL: Engine = { decide, evolve, planOf, initialState };

/** Feeds taps to the engine, `without` some of its interlocks. */
export function play(
  checklist: Checklist,
  taps: readonly Tap[],
  without: readonly string[] = [],
  engine: Engine = REAL,
): Played {
  let state = engine.initialState(engine.planOf(checklist, without), '0'.repeat(64));
  let mono = 0;
  const decisions: { tap: Tap; decision: Decision }[] = [];
  const events: JobEvent[] = [];
  for (const tap of taps) {
    mono += 'minutes' in tap && !('command' in tap) ? tap.minutes * 60_000 : secondsBetween * 1000;
    if (!('command' in tap)) continue;
    const at = new Date(begun + mono).toISOString().replace('Z', '+00:00');
    const decision = engine.decide(state, { ...tap, at, mono, boot: 'phone' } as Command);
    decisions.push({ tap, decision });
    for (const event of decision.events) {
      state = engine.evolve(state, event);
      events.push(event);
    }
  }
  return { decisions, events };
}

const METER: Instrument = {
  id: 'meter-3',
  category: 'CAT III',
  volts: '600 V',
  due: '2027-06-01',
  percent: '0.5',
  counts: 2,
};

export function opens(by: string, competence: readonly string[] = ['electrical']): Tap {
  const people = [{ id: by, competence }];
  return { command: 'open', site: 'Number 4, Quarry Row', people, instruments: [METER], by };
}
export const does = (by: string, step: string, result: StepResult = {}): Tap => ({
  command: 'do',
  step,
  result,
  by,
});
export const passes = (minutes: number): Tap => ({ minutes });

const known = { expected: '230', shown: '229.4', unit: 'V' };

/** A case test that reads these volts. */
export const caseOf = (volts: string, pair = 'case-ground'): StepResult => ({
  pairs: { [pair]: { value: volts, unit: 'V' } },
  before: known,
  after: known,
  instrument: METER.id,
});
/** A proof of dead over these pairs. */
export const deadOver = (...pairs: string[]): StepResult => ({
  pairs: Object.fromEntries(pairs.map((pair) => [pair, { value: '0.0', unit: 'V' }])),
  before: known,
  after: known,
  instrument: METER.id,
});
export const DEAD = deadOver('L-N', 'L-G', 'N-G');
export const reads = (value: string, unit: string): StepResult => ({
  value,
  unit,
  instrument: METER.id,
});
export const insulated = (end: string, why: string): LeftOpen => ({ end, insulated: true, why });
export const connector = (id: string, label: string) => ({
  connectors: [{ id, label, terminal: label }],
});
