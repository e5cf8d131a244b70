/** Traces for the properties, written as lists of what happened; the clock runs by itself. */
import {
  runMonitors,
  startSafety,
  stepSafety,
  type PropertyId,
  type SafetyState,
} from '#lib/core/safety/index.ts';
import type { Checklist, Lapse } from '#lib/core/checklist/model.ts';
import type {
  EventBodies,
  EventType,
  Instrument,
  JobEvent,
  LeftOpen,
  StepResult,
} from '#lib/core/job/events.ts';

interface Told {
  readonly type: EventType;
  readonly by: string;
  readonly body: EventBodies[EventType];
}

/** Time that passes, or a run of the running clock that begins anew. */
interface Passing {
  readonly minutes: number;
  readonly restart?: boolean;
  /** What the wall clock says has passed, when it says something else. */
  readonly wallMinutes?: number;
}

export type Happening = Told | Passing;

export const MARA = 'mara';
export const ODE = 'ode';
export const METER: Instrument = {
  id: 'T-7',
  category: 'CAT III',
  volts: '600 V',
  due: '2027-03-01',
  percent: '0.5',
  counts: 2,
};

function told<T extends EventType>(type: T, body: EventBodies[T], by: string = MARA): Told {
  return { type, by, body };
}

export const openedWith = (people: readonly string[], instruments: readonly Instrument[]): Told =>
  told('job.opened', {
    checklist: { id: 'polisher', revision: 1, sha256: '0'.repeat(64) },
    people: people.map((id) => ({ id, competence: [] })),
    instruments,
    demo: false,
  });
export const opened = (...people: string[]): Told => openedWith(people, [METER]);
export const did = (step: string, result: StepResult = {}, by = MARA): Told =>
  told('step.done', { step, result }, by);
export const began = (step: string, result: StepResult = {}, by = MARA): Told =>
  told('step.done', { step, result, part: true }, by);
export const notDone = (step: string): Told =>
  told('step.notDone', { step, why: 'no part', applies: true });
export const notApplicable = (step: string): Told =>
  told('step.notDone', { step, why: 'another outcome', applies: false });
export const corrected = (step: string, by = MARA): Told =>
  told('step.corrected', { step, why: 'slip' }, by);
export const lapsed = (what: Lapse, more: Partial<EventBodies['fact.lapsed']> = {}): Told =>
  told('fact.lapsed', { what, steps: [], ...more });
export const joined = (person: string): Told =>
  told('person.joined', { person, competence: [] }, person);
export const left = (person: string, locks: readonly string[] = [], by = person): Told =>
  told('person.left', { person, locks }, by);
export const windowOpened = (step: string, source = 'mains'): Told =>
  told('window.opened', {
    step,
    source,
    reason: 'voltage under command',
    readBack: 'bench two, nothing else',
    minutes: 3,
  });
export const windowClosed = (source = 'mains'): Told =>
  told('window.closed', { source, unexpected: false });
export const parkedShut = (more: { left?: LeftOpen[]; lock?: string; until?: string } = {}): Told =>
  told('job.parked', { as: 'shut', until: '2026-12-04', left: [], ...more });
export const parkedUsable = (): Told =>
  told('job.parked', { as: 'usable', until: '2026-12-04', left: [] });
export const resumed = (by = MARA): Told => told('job.resumed', {}, by);
export const handedOver = (
  body: { from?: string; to?: string; lock?: string } = {},
  by = MARA,
): Told => told('job.handedOver', { from: MARA, to: ODE, ...body }, by);
export const removedFor = (more: Partial<EventBodies['lock.removedFor']> = {}): Told =>
  told(
    'lock.removedFor',
    {
      lock: 'O1',
      owner: ODE,
      away: 'seen leaving at noon',
      tried: ['telephone, twice'],
      informed: 'note on the van key',
      authorizedBy: 'iris',
      ...more,
    },
    MARA,
  );
export const tried = (more: Partial<EventBodies['try.refused']> = {}): Told =>
  told('try.refused', { command: 'do', codes: ['not-dead'], says: ['not yet'], ...more });
export const other = <T extends EventType>(type: T, body: EventBodies[T], by = MARA): Told =>
  told(type, body, by);
export const toolsDown = (): Told => told('tools.down', { why: 'tired' });
export const closed = (openEnds: readonly string[] = []): Told => told('job.closed', { openEnds });

export const later = (minutes: number): Passing => ({ minutes });
export const restarted = (minutes: number, wallMinutes = minutes): Passing => ({
  minutes,
  restart: true,
  wallMinutes,
});

const begun = Date.parse('2026-11-25T15:00:00Z');
const secondsBetween = 1;

/** The events with their stamps: a second apart, on one run of the clock until it restarts. */
export function stamped(happenings: readonly Happening[]): JobEvent[] {
  let mono = 0;
  let wall = begun;
  let boot = 1;
  const events: JobEvent[] = [];
  for (const happening of happenings) {
    if ('minutes' in happening) {
      wall += (happening.wallMinutes ?? happening.minutes) * 60_000;
      mono = happening.restart === true ? 0 : mono + happening.minutes * 60_000;
      if (happening.restart === true) boot += 1;
      continue;
    }
    mono += secondsBetween * 1000;
    wall += secondsBetween * 1000;
    const at = new Date(wall).toISOString().replace('Z', '+00:00');
    events.push({ ...happening, at, mono, boot: `boot-${boot}` } as JobEvent);
  }
  return events;
}

/** What a trace breaks: the property and the step (or event) that broke it, in order. */
export function broken(checklist: Checklist, happenings: readonly Happening[]): string[] {
  const verdicts = runMonitors(checklist, stamped(happenings));
  return Object.values(verdicts)
    .flatMap((verdict) => verdict.violations)
    .sort((a, b) => a.at - b.at || order(a.property) - order(b.property))
    .map(({ property, event }) => {
      const { body } = event;
      return `${property} ${'step' in body ? String(body.step) : event.type}`;
    });
}

/** What the properties know after a trace. */
export function sceneAfter(
  checklist: Checklist,
  happenings: readonly Happening[],
  time: 'kept' | 'told' = 'kept',
): SafetyState {
  let state = startSafety(checklist, time);
  for (const event of stamped(happenings)) state = stepSafety(state, event).state;
  return state;
}

function order(id: PropertyId): number {
  return Number(id.slice(1));
}

/** The list without the first happening that is this step done. */
export function without(happenings: readonly Happening[], step: string): Happening[] {
  const index = indexOf(happenings, step);
  return happenings.filter((_, place) => place !== index);
}

/** The list up to a step, without it. */
export function before(happenings: readonly Happening[], step: string): Happening[] {
  return happenings.slice(0, indexOf(happenings, step));
}

/** The list from a step on, with it. */
export function from(happenings: readonly Happening[], step: string): Happening[] {
  return happenings.slice(indexOf(happenings, step));
}

/** The list with the result of a step replaced. */
export function withResult(
  happenings: readonly Happening[],
  step: string,
  result: StepResult,
): Happening[] {
  const index = indexOf(happenings, step);
  return happenings.map((one, place) => (place === index ? did(step, result) : one));
}

function indexOf(happenings: readonly Happening[], step: string): number {
  const index = happenings.findIndex(
    (one) => 'body' in one && 'step' in one.body && one.body.step === step,
  );
  if (index === -1) throw new Error(`${step} is not in the trace`);
  return index;
}
