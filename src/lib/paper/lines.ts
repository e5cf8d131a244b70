/** Runs of text broken into lines of a width. */
import type { Element } from '../core/bag/front/html.ts';
import type { Run } from './blocks.ts';
import type { Stretch, Typefaces } from './typefaces.ts';

/** A piece of one line in one typeface and size, or a small drawing. */
export type Piece =
  | (Stretch & { readonly x: number; readonly size: number })
  | { readonly x: number; readonly drawing: Element };

export interface Line {
  readonly pieces: readonly Piece[];
}

/** How wide a drawing in a line is, in points. */
const DRAWING = 20;
/** A small run beside a full one. */
const SMALL = 0.85;

type Atom =
  | {
      readonly sets: readonly Stretch[];
      readonly size: number;
      readonly space: boolean;
      readonly width: number;
    }
  | { readonly drawing: Element; readonly space: false; readonly width: number };

/** Lines of at most `width` points; a word that is longer is broken where it has to be. */
export function linesOf(
  runs: readonly Run[],
  { width, size, bold = false }: { width: number; size: number; bold?: boolean },
  faces: Typefaces,
): Line[] {
  const atoms = runs.flatMap((run) => atomsOf(run, size, bold, width, faces));
  const lines: Line[] = [];
  let line: Atom[] = [];
  let used = 0;
  const end = (): void => {
    if (line.length > 0) lines.push(lineOf(line, faces));
    line = [];
    used = 0;
  };
  // What may not be torn apart: everything up to the next space.
  for (const word of wordsOf(atoms)) {
    const needs = word.reduce((sum, atom) => sum + atom.width, 0);
    if (word[0]?.space === true) {
      // Spaces at a break stay with the line before, so that the text reads through when it is copied.
      line.push(...word);
      used += needs;
      continue;
    }
    if (used > 0 && used + needs > width) end();
    for (const atom of word) {
      if (used > 0 && used + atom.width > width) end();
      line.push(atom);
      used += atom.width;
    }
  }
  end();
  return lines;
}

function wordsOf(atoms: readonly Atom[]): Atom[][] {
  const words: Atom[][] = [];
  for (const atom of atoms) {
    const last = words.at(-1);
    if (last !== undefined && last[0]?.space === false && !atom.space) last.push(atom);
    else words.push([atom]);
  }
  return words;
}

function atomsOf(run: Run, size: number, bold: boolean, most: number, faces: Typefaces): Atom[] {
  if ('drawing' in run) return [{ drawing: run.drawing, space: false, width: DRAWING }];
  const own = run.small ? size * SMALL : size;
  const heavy = bold || run.bold;
  const made = (text: string): Atom => {
    const sets = faces.set(text, heavy);
    const width = sets.reduce((sum, one) => sum + faces.width(one, own), 0);
    return { sets, size: own, space: text.trim() === '', width };
  };
  return run.text
    .split(/(\s+)/)
    .filter((part) => part !== '')
    .flatMap((part) => {
      const whole = made(part.trim() === '' ? ' ' : part);
      return whole.width <= most ? [whole] : [...part].map(made);
    });
}

/** Neighbours in one typeface and size become one piece, spaces within it. */
function lineOf(atoms: readonly Atom[], faces: Typefaces): Line {
  const pieces: Piece[] = [];
  let x = 0;
  for (const atom of atoms) {
    if ('drawing' in atom) {
      pieces.push({ x, drawing: atom.drawing });
      x += atom.width;
      continue;
    }
    for (const { text, face } of atom.sets) {
      const last = pieces.at(-1);
      if (last !== undefined && 'face' in last && last.face === face && last.size === atom.size) {
        pieces[pieces.length - 1] = { ...last, text: last.text + text };
      } else {
        pieces.push({ x, text, face, size: atom.size });
      }
      x += faces.width({ text, face }, atom.size);
    }
  }
  return { pieces };
}
