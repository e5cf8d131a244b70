/** The shape of a property: a sentence, and a check that every event has to pass. */
import type { EventType, JobEvent } from '../job/events.ts';
import type { BookStep } from './book.ts';
import type { Scene } from './scene.ts';

export const PROPERTY_IDS = [
  'P1',
  'P2',
  'P3',
  'P4',
  'P5',
  'P6',
  'P7',
  'P8',
  'P9',
  'P10',
  'P11',
  'P12',
] as const;
export type PropertyId = (typeof PROPERTY_IDS)[number];

export interface Property {
  readonly id: PropertyId;
  readonly name: string;
  /** The property itself, in one sentence. */
  readonly says: string;
  /** Why it is there, and how its sentence is read where it leaves room. */
  readonly explains: string;
  /** The events that could break it; absent: all. */
  readonly watches?: readonly EventType[];
  /**
   * What the event breaks, in words; null when it breaks nothing. `scene` is the past at the time
   * of the event, without it; `step` is the step that the event names, if the checklist has it.
   */
  readonly check: (scene: Scene, event: JobEvent, step: BookStep | undefined) => string | null;
}
