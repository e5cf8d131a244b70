/** What the page and the worker that explores a checklist say to each other. */
import type { PropertyId } from '#lib/core/safety/index.ts';

export interface ExploreAsked {
  /** The checklist as written. */
  readonly text: string;
  readonly states: number;
}

export interface GateFor {
  /** Its id, or the kind of what a step asks for. */
  readonly gate: string;
  /** For what a step asks for by itself: that step, and what it needs. */
  readonly step?: string;
  readonly needed?: string;
  readonly serves: readonly PropertyId[];
  readonly report?: string;
}

export interface ExploreFound {
  readonly states: number;
  readonly transitions: number;
  readonly complete: boolean;
  readonly seconds: number;
  /** States in each phase, in order. */
  readonly byPhase: readonly number[];
  /** `null`: not broken in what was walked, and not everything was. */
  readonly properties: readonly { readonly id: PropertyId; readonly holds: boolean | null }[];
  /** How many were shown of those that there are; `null` while not everything was walked. */
  readonly deadEnds: number | null;
}

export type ExploreSaid =
  | {
      readonly kind: 'gates';
      readonly gates: readonly GateFor[];
      readonly lapses: readonly GateFor[];
    }
  | { readonly kind: 'walking'; readonly states: number }
  | { readonly kind: 'found'; readonly found: ExploreFound }
  | { readonly kind: 'unreadable' };
