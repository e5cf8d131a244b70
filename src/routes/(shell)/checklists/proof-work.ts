/** What the proof beside the editor is asked and answers, between the page and its worker. */
import type { Command } from '#lib/core/job/commands.ts';
import type { PlainEnd } from '#lib/core/prove/plain-ways.ts';

export interface ProofAsked {
  readonly text: string;
  readonly states: number;
  readonly seconds: number;
}

export interface ProofFound {
  readonly states: number;
  readonly complete: boolean;
  readonly seconds: number;
  readonly wrong: { readonly end: PlainEnd; readonly commands: readonly Command[] } | null;
}

export type ProofSaid =
  | { readonly kind: 'walking'; readonly states: number }
  | { readonly kind: 'found'; readonly found: ProofFound }
  /** The text cannot be read as a checklist at all. */
  | { readonly kind: 'unreadable' };
