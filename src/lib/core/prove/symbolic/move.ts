/** The shape of a move: when it may be made, where it leads, and what happens in it. */
import type { Diagram } from './diagrams.ts';
import type { Form } from './form.ts';
import type { Happening } from './happenings.ts';

/** A condition in parts, since the whole of it may be a very large diagram: all of these and none of those. */
export interface Guard {
  readonly must: readonly Diagram[];
  readonly bars: readonly Diagram[];
}

export interface Move {
  readonly label: number;
  readonly by: number;
  /** It may be made where one of these holds. */
  readonly guards: readonly Guard[];
  /** Where it leads; nothing for a move that ends the job. */
  readonly to: Form | undefined;
  /** The events, for the monitors. */
  readonly happenings: readonly Happening[];
  readonly end?: 'handedBack' | 'refused' | 'evidenceHold';
}
