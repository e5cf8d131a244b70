/** Survivors that make no difference, each with the reason; `tests/tidy/mutation.test.ts` holds them true. */
import type { Kind, Place } from './places.ts';

export interface Argued {
  readonly file: string;
  /** The name of the place, as `SCORE.md` has it. */
  readonly of: string;
  readonly done: readonly Kind[];
  readonly why: string;
}

export const ARGUED: readonly Argued[] = [];

export function reasonFor({ file, name, kind }: Place): string | undefined {
  return ARGUED.find((each) => each.file === file && each.of === name && each.done.includes(kind))
    ?.why;
}
