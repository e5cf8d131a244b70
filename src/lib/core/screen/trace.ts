/** What the second looks read of one job: its acts with the time since the one before, its late entries, its gaps. */
import type { Checklist, Step } from '../checklist/model.ts';
import type { JobEvent, StepResult } from '../job/events.ts';
import { parseQuantity } from '../measure/quantity.ts';

export interface ScreenJob {
  readonly job: string;
  readonly checklist: Checklist;
  readonly events: readonly JobEvent[];
  /** Perceptual hash (16 hex digits) of the photos that could be decoded, by digest. */
  readonly looks?: ReadonlyMap<string, string>;
}

/** A confirmation of a step by one person. */
export interface Act {
  readonly step: Step;
  readonly by: string;
  /** Milliseconds since 1970 by the wall clock; NaN when it cannot be read. */
  readonly at: number;
  /** When it was done, where it was entered later. */
  readonly acted?: number;
  readonly result: StepResult;
  /** Seconds since the person's entry before, on one run of the running clock; null when unknown. */
  readonly gap: number | null;
  /** The least honest time of the step in seconds; null when its checklist says none. */
  readonly takes: number | null;
}

export interface Trace {
  readonly job: string;
  readonly checklist: Checklist;
  readonly events: readonly JobEvent[];
  readonly looks: ReadonlyMap<string, string>;
  /** Who opened it. */
  readonly lead: string;
  readonly openedAt: number;
  readonly lastAt: number;
  readonly acts: readonly Act[];
  readonly refusals: number;
  /** Steps that apply and were not done, with a reason. */
  readonly gaps: number;
  readonly lapses: number;
}

/** Kinds whose confirmation says that a hand did something to the machine. */
const PHYSICAL: ReadonlySet<Step['do']> = new Set([
  'isolate',
  'lock',
  'release',
  'prove',
  'case',
  'open',
  'close',
  'disconnect',
  'reseat',
  'unlock',
  'restore',
  'reading',
  'contacts',
  'find',
  'wear',
]);
/** Kinds that somebody's life rests on. */
const SAFETY: ReadonlySet<Step['do']> = new Set([
  'case',
  'isolate',
  'lock',
  'release',
  'prove',
  'clear',
  'reseat',
]);

export const isPhysical = ({ step }: Act): boolean => PHYSICAL.has(step.do);
export const isSafety = ({ step }: Act): boolean => SAFETY.has(step.do);

export function traceOf({ job, checklist, events, looks }: ScreenJob): Trace {
  const steps = new Map(checklist.steps.map((step) => [step.id, step]));
  const before = new Map<string, JobEvent>();
  const acts: Act[] = [];
  const count = { refusals: 0, gaps: 0, lapses: 0 };
  for (const event of events) {
    if (event.type === 'try.refused') count.refusals += 1;
    if (event.type === 'step.notDone' && event.body.applies) count.gaps += 1;
    if (event.type === 'fact.lapsed') count.lapses += 1;
    const step = event.type === 'step.done' ? steps.get(event.body.step) : undefined;
    if (event.type === 'step.done' && step !== undefined)
      acts.push(actOf(event, step, before.get(event.by)));
    // What the program notes by itself is stamped with the act that it came with.
    if (event.type !== 'clock.noted' && event.type !== 'fact.lapsed') before.set(event.by, event);
  }
  const [first, last] = [events[0], events.at(-1)];
  return {
    job,
    checklist,
    events,
    looks: looks ?? new Map(),
    lead: first?.by ?? '',
    openedAt: Date.parse(first?.at ?? ''),
    lastAt: Date.parse(last?.at ?? ''),
    acts,
    ...count,
  };
}

function actOf(
  event: JobEvent & { type: 'step.done' },
  step: Step,
  before: JobEvent | undefined,
): Act {
  const same = before !== undefined && before.boot === event.boot && event.mono >= before.mono;
  const { acted } = event.body;
  return {
    step,
    by: event.by,
    at: Date.parse(event.at),
    ...(acted === undefined ? {} : { acted: Date.parse(acted) }),
    result: event.body.result,
    gap: same ? (event.mono - before.mono) / 1000 : null,
    takes: secondsOf(step.takes),
  };
}

function secondsOf(text: string | undefined): number | null {
  if (text === undefined) return null;
  const read = parseQuantity(text);
  return read.ok && read.quantity.dimension === 'time' ? read.quantity.si : null;
}

export interface Reading {
  readonly step: string;
  /** `step`, or `step L-N` for a pair. */
  readonly name: string;
  readonly value: string;
  readonly unit: string;
  readonly by: string;
}

/** Every measured number of a job, as shown by the meter; words such as OL are none. */
export function readingsOf({ acts }: Trace): Reading[] {
  return acts.flatMap(({ step, result, by }) => {
    const single =
      result.value === undefined
        ? []
        : [{ name: step.id, value: result.value, unit: result.unit ?? '' }];
    const pairs = Object.entries(result.pairs ?? {}).map(([pair, shown]) => ({
      name: `${step.id} ${pair}`,
      ...shown,
    }));
    return [...single, ...pairs]
      .filter(({ value }) => /^-?\d+(?:\.\d+)?$/.test(value))
      .map((reading) => ({ ...reading, step: step.id, by }));
  });
}

/** A reading with a value of its own: one that is always zero says nothing by being equal or round. */
export const runsFree = ({ value }: Reading): boolean => Math.abs(Number(value)) > 0.5;

/** Photos that a job names, with the step that named each. */
export function photosOf({ acts }: Trace): { readonly photo: string; readonly step: string }[] {
  return acts.flatMap(({ step, result }) =>
    (result.photos ?? []).map((photo) => ({ photo, step: step.id })),
  );
}
