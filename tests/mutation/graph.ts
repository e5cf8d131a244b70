/**
 * Loads a test file with everything of the project that it imports, afresh each time: no plan, cache or
 * table that was made with other code is left over. Modules that reach none of the changed ones are kept.
 */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import ts from 'typescript';
import type { Waker } from './waker.ts';

type Exports = Record<string, unknown>;
type Body = (
  exports: Exports,
  require: (name: string) => unknown,
  $m: Waker,
  meta: { readonly url: string },
) => void;

interface Built {
  readonly run: Body;
  readonly imports: readonly string[];
}

const OPTIONS: ts.CompilerOptions = {
  module: ts.ModuleKind.CommonJS,
  target: ts.ScriptTarget.ESNext,
  esModuleInterop: true,
};

/** Reads the same text as the same list each time, and reaches no changed file: read once. */
const READER = { file: 'src/lib/core/checklist/load.ts', name: 'loadChecklist' };

export class Graph {
  readonly #built = new Map<string, Built>();
  readonly #kept = new Map<string, Exports>();
  readonly #reaches = new Map<string, boolean>();
  readonly #outside = createRequire(import.meta.url);
  readonly #root: string;
  readonly #changed: ReadonlyMap<string, string>;
  readonly #instead: ReadonlyMap<string, unknown>;
  readonly #waker: Waker;

  /** @param changed texts by absolute path that stand for those on the disk */
  constructor(
    root: string,
    changed: ReadonlyMap<string, string>,
    instead: ReadonlyMap<string, unknown>,
    waker: Waker,
  ) {
    this.#root = root;
    this.#changed = changed;
    this.#instead = instead;
    this.#waker = waker;
  }

  /** Runs a file and everything it imports. */
  load(file: string): void {
    this.#evaluate(file, new Map());
  }

  #place(name: string, from: string): string | undefined {
    if (name.startsWith('#lib/')) return join(this.#root, 'src/lib', name.slice(5));
    return name.startsWith('.') ? join(dirname(from), name) : undefined;
  }

  #build(file: string): Built {
    const known = this.#built.get(file);
    if (known) return known;
    const text = this.#changed.get(file) ?? readFileSync(file, 'utf8');
    const built = file.endsWith('.json') ? data(text) : this.#code(file, text);
    this.#built.set(file, built);
    return built;
  }

  #code(file: string, text: string): Built {
    const { outputText } = ts.transpileModule(text, { compilerOptions: OPTIONS, fileName: file });
    const code = outputText.replaceAll('import.meta', '$meta');
    const run = new Function('exports', 'require', '$m', '$meta', code) as Body;
    const imports = [...code.matchAll(/require\("([^"]+)"\)/gu)].flatMap(([, name = '']) => {
      const place = this.#place(name, file);
      return place === undefined ? [] : [place];
    });
    return { run, imports };
  }

  /** Whether a module comes to a changed one, or is a test; the others give the same each time. */
  #isFresh(file: string, under: ReadonlySet<string> = new Set()): boolean {
    const known = this.#reaches.get(file);
    if (known !== undefined) return known;
    if (this.#changed.has(file) || file.endsWith('.test.ts')) return true;
    if (under.has(file)) return false;
    const below = new Set([...under, file]);
    const reaches = this.#build(file).imports.some((each) => this.#isFresh(each, below));
    if (reaches || under.size === 0) this.#reaches.set(file, reaches);
    return reaches;
  }

  #evaluate(file: string, loaded: Map<string, Exports>): Exports {
    const known = loaded.get(file) ?? this.#kept.get(file);
    if (known) return known;
    const exports: Exports = {};
    (this.#isFresh(file) ? loaded : this.#kept).set(file, exports);
    const need = (name: string): unknown => {
      const place = this.#place(name, file);
      if (place !== undefined) return this.#evaluate(place, loaded);
      return this.#instead.get(name) ?? this.#outside(name);
    };
    this.#build(file).run(exports, need, this.#waker, { url: pathToFileURL(file).href });
    if (this.#kept.has(file) && file.endsWith(READER.file)) keepAnswers(exports);
    return exports;
  }
}

function keepAnswers(exports: Exports): void {
  const read = exports[READER.name] as (...given: readonly string[]) => unknown;
  const answers = new Map<string, unknown>();
  exports[READER.name] = (...given: readonly string[]) => {
    const asked = given.join('\0');
    if (!answers.has(asked)) answers.set(asked, read(...given));
    return answers.get(asked);
  };
}

function data(text: string): Built {
  const run: Body = (exports) => {
    Object.assign(exports, { __esModule: true, default: JSON.parse(text) as unknown });
  };
  return { run, imports: [] };
}
