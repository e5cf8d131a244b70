/** What a page and the worker that makes its paper say to each other. */
import type { FrontInput } from '#lib/core/bag/front/front-input.ts';

/** Addresses of the typefaces, in the order in which they are asked for a character. */
export interface FontPlaces {
  readonly regular: readonly string[];
  readonly bold: readonly string[];
}

export type PaperAsked =
  | { readonly kind: 'draw'; readonly input: FrontInput; readonly fonts: FontPlaces }
  | { readonly kind: 'photo'; readonly sha256: string; readonly bytes: Uint8Array | null };

export type PaperSaid =
  | { readonly kind: 'want'; readonly sha256: string }
  | { readonly kind: 'drawn'; readonly bytes: Uint8Array }
  | { readonly kind: 'failed'; readonly why: string };
