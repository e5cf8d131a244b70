/** Where in a file something stands: the path inside it, and the line and column as written. */
import type { Problem } from './model.ts';

export type Path = readonly (string | number)[];

/** 1-based. */
export interface Place {
  readonly line: number;
  readonly column: number;
}

/** `steps[3].needs[0]`; empty for the file as a whole. */
export function pathText(path: Path): string {
  let text = '';
  for (const part of path) {
    if (typeof part === 'number') text += `[${part}]`;
    else if (/^[\w-]+$/u.test(part)) text += text === '' ? part : `.${part}`;
    else text += `[${JSON.stringify(part)}]`;
  }
  return text;
}

/** The places of every key and every value of one file, by path. */
export class Places {
  readonly #keys = new Map<string, Place>();
  readonly #values = new Map<string, Place>();

  noteKey(path: Path, place: Place): void {
    this.#keys.set(pathText(path), place);
  }

  noteValue(path: Path, place: Place): void {
    this.#values.set(pathText(path), place);
  }

  /** The value at the path, or what is nearest around it when it is missing. */
  ofValue(path: Path): Place {
    return this.#nearest(path, this.#values, this.#keys);
  }

  ofKey(path: Path): Place {
    return this.#nearest(path, this.#keys, this.#values);
  }

  #nearest(path: Path, first: Map<string, Place>, second: Map<string, Place>): Place {
    for (let length = path.length; length >= 0; length--) {
      const text = pathText(path.slice(0, length));
      const place = first.get(text) ?? second.get(text);
      if (place !== undefined) return place;
    }
    return { line: 1, column: 1 };
  }
}

/** Collects problems, each once, in the order of the file. */
export class Problems {
  readonly #places: Places;
  readonly #found = new Map<string, Problem>();

  constructor(places: Places) {
    this.#places = places;
  }

  atValue(path: Path, says: string): void {
    this.add({ path: pathText(path), ...this.#places.ofValue(path), says });
  }

  atKey(path: Path, says: string): void {
    this.add({ path: pathText(path), ...this.#places.ofKey(path), says });
  }

  add(problem: Problem): void {
    this.#found.set(`${problem.path}\n${problem.line}\n${problem.says}`, problem);
  }

  get count(): number {
    return this.#found.size;
  }

  /** Sorted by place; past `most`, one last line counts the others. */
  list(most = 200): Problem[] {
    const sorted = [...this.#found.values()].sort(
      (a, b) => a.line - b.line || a.column - b.column || (a.says < b.says ? -1 : 1),
    );
    const more = sorted.length - most;
    const next = sorted[most];
    if (next === undefined) return sorted;
    const says = `There are ${more} more problems after this one; mend those above first.`;
    return [...sorted.slice(0, most), { ...next, path: '', says }];
  }
}
