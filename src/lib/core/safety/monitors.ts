/**
 * Runs the properties over a trace: all twelve fused for the explorer, one alone, or a whole
 * record.
 */
import type { Checklist } from '../checklist/model.ts';
import type { EventType, JobEvent } from '../job/events.ts';
import { advance } from './advance.ts';
import type { Book, BookStep } from './book.ts';
import { tick } from './clock.ts';
import { PROPERTIES } from './properties.ts';
import { PROPERTY_IDS, type Property, type PropertyId } from './property.ts';
import { sceneKey } from './scene-key.ts';
import { firstScene, type Scene } from './scene.ts';

/** What is known of a trace so far. Opaque: only this room reads it. */
export type SafetyState = Scene;

export interface Violation {
  readonly property: PropertyId;
  /** Which event broke it, counted from 0 since the start. */
  readonly at: number;
  readonly event: JobEvent;
  /** One plain sentence. */
  readonly says: string;
}

export interface Stepped {
  readonly state: SafetyState;
  /** In the order of the properties; one shared empty list when nothing is broken. */
  readonly violations: readonly Violation[];
}

/** One property as a monitor of its own. */
export interface Monitor<S> {
  readonly id: PropertyId;
  readonly says: string;
  readonly start: (checklist: Checklist) => S;
  readonly step: (
    state: S,
    event: JobEvent,
  ) => { readonly state: S; readonly violations: readonly Violation[] };
  readonly key: (state: S) => string;
}

const none: readonly Violation[] = [];
const watchingAll = PROPERTIES.filter((property) => property.watches === undefined);
const watching: ReadonlyMap<EventType, readonly Property[]> = new Map(
  PROPERTIES.flatMap((property) => property.watches ?? []).map((type) => [
    type,
    PROPERTIES.filter((property) => property.watches?.includes(type) ?? true),
  ]),
);

/**
 * The state before the first event. `kept` counts shelf lives on the running clock; under `told`
 * they end only when a lapse says so, which is what an explorer wants that has no clock.
 */
export function startSafety(checklist: Checklist, time: 'kept' | 'told' = 'kept'): SafetyState {
  return firstScene(checklist, time);
}

/** The state after an event, and what the event broke. Pure: the given state stays as it is. */
export function stepSafety(state: SafetyState, event: JobEvent): Stepped {
  return stepWith(watching.get(event.type) ?? watchingAll, state, event);
}

/**
 * The state as a short exact text, no digest of it: no later event of one run of the clock can tell
 * two states of one checklist apart whose texts are equal.
 */
export function safetyKey(state: SafetyState): string {
  return sceneKey(state);
}

export function monitorOf(id: PropertyId): Monitor<SafetyState> {
  const only = PROPERTIES.filter((property) => property.id === id);
  return {
    id,
    says: only[0]?.says ?? '',
    start: (checklist) => startSafety(checklist),
    step: (state, event) => stepWith(only, state, event),
    key: safetyKey,
  };
}

export type Verdicts = Readonly<
  Record<PropertyId, { readonly holds: boolean; readonly violations: readonly Violation[] }>
>;

/**
 * Every property over one whole trace. The events have the shape that the record's schema checks.
 */
export function runMonitors(checklist: Checklist, events: Iterable<JobEvent>): Verdicts {
  let state = startSafety(checklist);
  const violations: Violation[] = [];
  for (const event of events) {
    const stepped = stepSafety(state, event);
    state = stepped.state;
    violations.push(...stepped.violations);
  }
  const verdicts = PROPERTY_IDS.map((id) => {
    const own = violations.filter((violation) => violation.property === id);
    return [id, { holds: own.length === 0, violations: own }] as const;
  });
  return Object.fromEntries(verdicts) as unknown as Verdicts;
}

function stepWith(properties: readonly Property[], state: SafetyState, event: JobEvent): Stepped {
  const draft = tick(state, event);
  const step = stepOf(state.book, event);
  let violations: Violation[] | null = null;
  for (const property of properties) {
    const says = property.check(draft, event, step);
    if (says === null) continue;
    violations ??= [];
    violations.push({ property: property.id, at: state.seen, event, says });
  }
  advance(draft, event, step);
  return { state: draft, violations: violations ?? none };
}

function stepOf(book: Book, { body }: JobEvent): BookStep | undefined {
  return 'step' in body && typeof body.step === 'string'
    ? book.steps[book.stepAt.get(body.step) ?? -1]
    : undefined;
}
