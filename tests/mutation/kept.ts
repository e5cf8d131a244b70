/**
 * What was judged so far, on the disk after every change: a run that is cut goes on where it stopped. A file
 * of the rules that is no longer the one that was judged is judged anew, whole.
 */
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { SOURCES, type Verdict } from './bench.ts';
import { root, type Place } from './places.ts';

const FILE = `${root}tests/mutation/verdicts.json`;
const LETTERS: Readonly<Record<Verdict, string>> = {
  noticed: 'n',
  survives: 's',
  unseen: 'u',
  endless: 'e',
  putOff: 'p',
};
const NONE = '.';

/** Of one file: what was judged, and one letter for each of its places in their order. */
interface Kept {
  readonly of: string;
  readonly verdicts: string;
}

/** Tells a file and its places from every other, wherever in the numbers they begin. */
function nameOf(file: string, places: readonly Place[]): string {
  const hash = createHash('sha256').update(readFileSync(root + file));
  for (const { kind, name } of places) hash.update(`\n${kind} ${name}`);
  return hash.digest('hex').slice(0, 16);
}

const verdictOf = (letter: string | undefined) =>
  (Object.keys(LETTERS) as Verdict[]).find((verdict) => LETTERS[verdict] === letter);

export class Verdicts {
  readonly byNumber = new Map<number, Verdict>();
  readonly #files: readonly { file: string; of: string; numbers: readonly number[] }[];

  constructor(places: readonly Place[]) {
    const all = [...places.entries()];
    this.#files = SOURCES.map((file) => {
      const own = all.filter(([, place]) => place.file === file);
      const of = nameOf(
        file,
        own.map(([, place]) => place),
      );
      return { file, of, numbers: own.map(([number]) => number) };
    });
    const kept = existsSync(FILE)
      ? (JSON.parse(readFileSync(FILE, 'utf8')) as Record<string, Kept>)
      : {};
    for (const { file, of, numbers } of this.#files) {
      const own = kept[file];
      if (own?.of !== of) continue;
      for (const [at, number] of numbers.entries()) {
        const verdict = verdictOf(own.verdicts[at]);
        if (verdict) this.byNumber.set(number, verdict);
      }
    }
  }

  keep(number: number, verdict: Verdict): void {
    this.byNumber.set(number, verdict);
    const letter = (each: number) => {
      const said = this.byNumber.get(each);
      return said === undefined ? NONE : LETTERS[said];
    };
    const kept: Record<string, Kept> = {};
    for (const { file, of, numbers } of this.#files) {
      const verdicts = numbers.map(letter).join('');
      if (/[^.]/u.test(verdicts)) kept[file] = { of, verdicts };
    }
    /* Written beside and put in its place: a cut leaves the old or the new, never half. */
    writeFileSync(`${FILE}.new`, `${JSON.stringify(kept, undefined, 2)}\n`);
    renameSync(`${FILE}.new`, FILE);
  }
}
