/** How a survivor is argued, and the reasons that stand beside several of them. */
import type { Kind } from './places.ts';

export interface Argued {
  readonly file: string;
  /** The name of the place, as `SCORE.md` has it. */
  readonly of: string;
  readonly done: readonly Kind[];
  readonly why: string;
}

export const in_ = (file: string, ...argued: readonly Omit<Argued, 'file'>[]): Argued[] =>
  argued.map((each) => ({ file: `src/lib/core/${file}.ts`, ...each }));

export const SAVES = 'it only saves the walk through a list in which nothing would be found';
export const NARROWS = 'the types alone ask for it: only steps of that kind come here';
