/**
 * The state of a job: a pure fold over its events, and everything that a gate may ask.
 *
 * Immutable: `evolve` makes a new state that shares what did not change. Facts carry who and when for
 * people to read; gates read only the marks, the positions and the running clock.
 */
import type { Instrument, LeftOpen, StepResult } from './events.ts';
import type { Plan } from './plan.ts';
import type { ConnectorLabel } from './events.ts';
import type { JobStatus } from './view-types.ts';

/** Bits of a step's mark. */
export const SETTLED = 1; /* its place in the order is taken */
export const FRESH = 2; /* its fact holds */
export const NOT_DONE = 4; /* left out with a reason */
export const NOT_APPLICABLE = 8; /* an earlier choice rules it out */
export const PART = 16; /* begun: the first of two hands, or too few connectors yet */
export const UNCHECKED = 32; /* read with an instrument not checked on a known source since */

export interface Fact {
  readonly by: string;
  readonly at: string;
  /** The job's running time in ms when it was stated. */
  readonly ran: number;
  readonly result?: StepResult;
  readonly why?: string;
  readonly acted?: string;
  readonly ended?: string;
}

export interface Lock {
  readonly number: string;
  readonly owner: string;
  readonly point: number;
  readonly sure: boolean;
  readonly parked: boolean;
}

export interface Connector extends ConnectorLabel {
  readonly open: boolean;
  readonly step: number;
  /** How it was left open on purpose, while parked. */
  readonly left?: LeftOpen;
}

export interface PersonState {
  readonly id: string;
  readonly competence: readonly string[];
  readonly present: boolean;
  /** Worn items stated on, and stated off; an item in neither is unknown. */
  readonly on: number;
  readonly off: number;
}

export interface InstrumentState {
  readonly card: Instrument;
  readonly doubted: boolean;
}

/** A point as its people last stated it; `UNKNOWN` is treated as closed, that is, live. */
export const CLOSED = 0;
export const OPEN = 1;
export const UNKNOWN = 2;

export interface WindowState {
  readonly step: number;
  readonly source: number;
  readonly openedRan: number;
  readonly minutes: number;
}

export interface JobState {
  readonly plan: Plan;
  /** Identity of the checklist, hex SHA-256. */
  readonly sha256: string;
  readonly status: JobStatus;
  readonly demo: boolean;
  readonly marks: readonly number[];
  readonly facts: readonly (Fact | undefined)[];
  /** Outcomes of `choose` steps by step index. */
  readonly choices: readonly (string | undefined)[];
  readonly points: readonly number[];
  /** Who keeps each exclusive point in sight; empty when nobody. */
  readonly holders: readonly string[];
  readonly locks: readonly Lock[];
  /** Bit mask over the plan's ends. */
  readonly openEnds: number;
  readonly leftOpen: readonly LeftOpen[];
  readonly connectors: readonly Connector[];
  readonly people: readonly PersonState[];
  readonly instruments: readonly InstrumentState[];
  /** How many sources were counted on the machine; -1 before. */
  readonly counted: number;
  /** Sources whose case read live, as a bit mask. */
  readonly caseLive: number;
  /** Running time at which each source's feeds were all cut; -1 while they are not. */
  readonly cutAt: readonly number[];
  readonly window: WindowState | undefined;
  /** People whose lock was taken off for them, until they have read it. */
  readonly toRead: readonly string[];
  /** Index of the first step in order that is not settled; the number of steps when all are. */
  readonly frontier: number;
  /** The running clock: last stamp, and milliseconds run since the job was opened. */
  readonly clock: {
    readonly at: string;
    readonly mono: number;
    readonly boot: string;
    readonly ran: number;
  };
}

/** A job that has not been opened yet. */
export function initialState(plan: Plan, sha256: string): JobState {
  return {
    plan,
    sha256,
    status: 'notOpened',
    demo: false,
    marks: plan.steps.map(() => 0),
    facts: plan.steps.map(() => undefined),
    choices: plan.steps.map(() => undefined),
    points: plan.points.map(() => CLOSED),
    holders: plan.points.map(() => ''),
    locks: [],
    openEnds: 0,
    leftOpen: [],
    connectors: [],
    people: [],
    instruments: [],
    counted: -1,
    caseLive: 0,
    cutAt: plan.sources.map(() => -1),
    window: undefined,
    toRead: [],
    frontier: 0,
    clock: { at: '', mono: 0, boot: '', ran: 0 },
  };
}

export function isEnded(state: JobState): boolean {
  return (
    state.status === 'handedBack' || state.status === 'refused' || state.status === 'evidenceHold'
  );
}

export function personOf(state: JobState, id: string): PersonState | undefined {
  return state.people.find((person) => person.id === id);
}

export function presentCount(state: JobState): number {
  let count = 0;
  for (const person of state.people) if (person.present) count++;
  return count;
}

/** Whether the order may pass over this step. A reseat step is settled when nothing taken off above it is off. */
export function isSettled(state: JobState, step: number): boolean {
  if (state.plan.steps[step]?.do === 'reseat') {
    if (((state.marks[step] ?? 0) & NOT_APPLICABLE) !== 0) return true;
    for (const connector of state.connectors) {
      if (connector.open && connector.step < step) return false;
    }
    return true;
  }
  return ((state.marks[step] ?? 0) & (SETTLED | NOT_DONE | NOT_APPLICABLE)) !== 0;
}

/** Whether this person has a lock of their own there that counts; one left for the firm is none. */
export function hasOwnLock(state: JobState, point: number, owner: string): boolean {
  return state.locks.some(
    (lock) => lock.point === point && lock.owner === owner && lock.sure && !lock.parked,
  );
}

/** Whether the fact of this step holds now, for this person where it is a personal one. */
export function isFresh(state: JobState, step: number, by: string): boolean {
  const plan = state.plan.steps[step];
  if (!plan) return false;
  if (plan.do === 'wear') {
    const person = personOf(state, by);
    return (
      person !== undefined &&
      (person.on & plan.on) === plan.on &&
      (person.off & plan.off) === plan.off
    );
  }
  if (plan.do === 'lock') {
    return hasOwnLock(state, plan.point, by);
  }
  return ((state.marks[step] ?? 0) & FRESH) !== 0;
}

/**
 * Whether what was stated is still so, whether or not anything ahead asks for it: a fact that has served
 * keeps standing in the record and on the screen until something ends it.
 */
export function factStands(state: JobState, step: number): boolean {
  const mark = state.marks[step] ?? 0;
  if ((mark & FRESH) !== 0) return true;
  const fact = state.facts[step];
  return (mark & SETTLED) !== 0 && fact !== undefined && fact.ended === undefined;
}

export function allPointsOpen(state: JobState, source: number): boolean {
  const points = state.plan.sources[source]?.points ?? [];
  for (const point of points) if (state.points[point] !== OPEN) return false;
  return true;
}

export function isProven(state: JobState, source: number): boolean {
  const steps = state.plan.sources[source]?.proveSteps ?? [];
  for (const step of steps) if (((state.marks[step] ?? 0) & FRESH) !== 0) return true;
  return false;
}
