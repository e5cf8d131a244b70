/**
 * What a trace has said so far, as far as any property asks about it: the past of all twelve in one
 * small value. Nothing here is a rule; the rules are in `p1-…` to `p12-…`, and what an event
 * changes is in `advance.ts`, `lapses.ts` and `clock.ts`.
 *
 * Everything is immutable and shared between scenes where it did not change, so that an explorer
 * can keep millions of them.
 */
import type { Checklist, StepKind } from '../checklist/model.ts';
import type { Instrument } from '../job/events.ts';
import { bookOf, type Book } from './book.ts';

export type Stage = 'notOpened' | 'atWork' | 'toolsDown' | 'parked' | 'ended';

/** A point is as found or restored, isolated, or `unknown`: neither the one nor the other. */
export type PointPosition = 'closed' | 'open' | 'unknown';

/** Someone present, and the wear steps that are fresh for this person. */
export interface Present {
  readonly id: string;
  readonly worn: readonly number[];
}

export interface Hold {
  readonly point: number;
  readonly owner: string;
  /** The firm's own, that its owner left in place of theirs when the job was parked. */
  readonly firm: boolean;
  readonly number: string;
  readonly kind: 'lock' | 'tag';
  /** False once its point may have come back: its owner has to see and state it again. */
  readonly sure: boolean;
}

export interface Connector {
  readonly id: string;
  readonly open: boolean;
  /** The step that closed it, or -1. */
  readonly reseatedBy: number;
}

/** Bits of what is known about a step. */
export const DONE = 1;
/** Its fact has not ended. For a proof, a release, a case test and a roll call: and it counts. */
export const FRESH = 2;
export const LEFT_OUT = 4;
export const NOT_APPLICABLE = 8;
/** It recorded how many sources there are: no more than were declared, or more. */
export const COUNTED = 16;
export const TOO_MANY = 32;
/** The first of two hands, or a disconnect that goes on. */
export const BEGUN = 64;
/** It is a proof that counted when it was made. */
export const PROVED = 128;

export interface Clock {
  readonly boot: string;
  readonly mono: number;
  readonly at: string;
  /**
   * Added to `mono`: the running time since the first event, across restarts whose gap is known.
   */
  readonly offset: number;
}

export interface Scene {
  readonly book: Book;
  /** Whether shelf lives are counted on the clock, or end only when a lapse is told. */
  readonly time: 'kept' | 'told';
  readonly seen: number;
  readonly clock: Clock;
  readonly stage: Stage;
  /** The source whose live window is open, or -1. */
  readonly window: number;
  /** Sorted by id. */
  readonly people: readonly Present[];
  readonly instruments: readonly Instrument[];
  /** What matters of the instruments as one text; they never change after the opening. */
  readonly kit: string;
  readonly points: readonly PointPosition[];
  /** By point: who keeps it in sight, or nobody (''). */
  readonly holders: readonly string[];
  /** Sorted by point, then owner. */
  readonly holds: readonly Hold[];
  /** By end: whether it is open. */
  readonly ends: readonly boolean[];
  /** Sorted by id. */
  readonly connectors: readonly Connector[];
  /** By step: the bits above. */
  readonly steps: readonly number[];
  readonly chosen: readonly { readonly step: number; readonly option: string }[];
  /** First hands of steps that want two. */
  readonly halves: readonly { readonly step: number; readonly by: string }[];
  /** Instruments in doubt that no check has cleared, sorted. */
  readonly doubted: readonly string[];
  /** Measurements since the last good check of their instrument. */
  readonly unchecked: readonly { readonly step: number; readonly instrument: string }[];
  /**
   * When each fact with a shelf life was made, in running milliseconds; empty when time is told.
   */
  readonly made: readonly { readonly step: number; readonly at: number }[];
  /** By source: running milliseconds when it was last isolated at every point, or Infinity. */
  readonly isolatedAt: readonly number[];
}

/**
 * A scene while one event is being applied: the fields may be replaced, their contents never
 * changed.
 */
export type Draft = { -readonly [K in keyof Scene]: Scene[K] };

export function firstScene(checklist: Checklist, time: 'kept' | 'told'): Scene {
  const book = bookOf(checklist);
  return {
    book,
    time,
    seen: 0,
    clock: { boot: '', mono: 0, at: '', offset: 0 },
    stage: 'notOpened',
    window: -1,
    people: [],
    instruments: [],
    kit: '',
    points: book.points.map(() => 'closed'),
    holders: book.points.map(() => ''),
    holds: [],
    ends: book.ends.map(() => false),
    connectors: [],
    steps: book.steps.map(() => 0),
    chosen: [],
    halves: [],
    doubted: [],
    unchecked: [],
    made: [],
    isolatedAt: book.sources.map(() => Infinity),
  };
}

/** The list with one place replaced; the same list when nothing changes. */
export function put<T>(list: readonly T[], index: number, value: T): readonly T[] {
  if (index < 0 || index >= list.length || list[index] === value) return list;
  const copy = list.slice();
  copy[index] = value;
  return copy;
}

/** The records that are not of this step, and the new one, by step. */
export function recordFor<T extends { readonly step: number }>(
  list: readonly T[],
  record: T,
): readonly T[] {
  return [...dropFor(list, record.step), record].sort((a, b) => a.step - b.step);
}

export function dropFor<T extends { readonly step: number }>(
  list: readonly T[],
  step: number,
): readonly T[] {
  return list.some((one) => one.step === step) ? list.filter((one) => one.step !== step) : list;
}

export function stepsOf(scene: Scene, kind: StepKind): readonly number[] {
  return scene.book.stepsOf.get(kind) ?? [];
}
