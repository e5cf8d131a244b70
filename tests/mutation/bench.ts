/**
 * The tests of the rules, ready to be run again with one change awake: only those that came by it, and first
 * the files that noticed most in the same file so far, then those that are soonest through.
 */
import fc from 'fast-check';
import { globSync } from 'node:fs';
import { Collector, type Collected } from './collect.ts';
import { Graph } from './graph.ts';
import { prepared, root, type Place } from './places.ts';
import { Endless, Waker } from './waker.ts';

export type Verdict = 'noticed' | 'survives' | 'endless';

/** What is changed. */
export const SOURCES = globSync('src/lib/core/{job,safety}/*.ts', { cwd: root }).sort();
/** What is asked whether it notices. */
const TESTS = ['tests/unit/core/{job,safety}/**/*.test.ts'];
/** So many times as many questions as the whole file asks with nothing changed, and some, is for ever. */
const FOR_EVER = { times: 20, more: 200_000, whileLoading: 5_000_000 };

interface Seer {
  readonly file: string;
  readonly ms: number;
  readonly whileLoading: ReadonlySet<number>;
  readonly tests: readonly { readonly seen: ReadonlySet<number>; readonly asked: number }[];
  /** How many changes of each file it has noticed. */
  readonly noticed: Map<string, number>;
}

/** Every place of the sources, by its number, and the texts with all of them asleep. */
export function allPlaces(): { places: Place[]; texts: Map<string, string> } {
  const places: Place[] = [];
  const texts = new Map<string, string>();
  for (const file of SOURCES) {
    const made = prepared(file, places.length);
    texts.set(root + file, made.text);
    places.push(...made.places);
  }
  return { places, texts };
}

export class Bench {
  readonly #waker = new Waker();
  readonly #collector = new Collector();
  readonly #graph: Graph;
  #seers: readonly Seer[] = [];

  constructor(texts: ReadonlyMap<string, string>) {
    /* The first counterexample is enough. */
    fc.configureGlobal({ seed: 20261125, endOnFailure: true });
    this.#graph = new Graph(root, texts, this.#collector.modules(), this.#waker);
  }

  #collect(file: string): readonly Collected[] {
    this.#collector.tests = [];
    this.#graph.load(root + file);
    return this.#collector.tests;
  }

  /** Runs everything with nothing changed. @throws when a test fails */
  async rehearse(): Promise<void> {
    const seers: Seer[] = [];
    for (const file of globSync(TESTS, { cwd: root })) {
      const start = performance.now();
      this.#waker.seen = new Set();
      const collected = this.#collect(file);
      const whileLoading = this.#waker.seen;
      const tests: Seer['tests'][number][] = [];
      for (const { name, run } of collected) {
        this.#waker.seen = new Set();
        this.#waker.asked = 0;
        try {
          await run();
        } catch (error) {
          throw new Error(`${file}, ${name}: fails with nothing changed.`, { cause: error });
        }
        tests.push({ seen: this.#waker.seen, asked: this.#waker.asked });
      }
      seers.push({ file, ms: performance.now() - start, whileLoading, tests, noticed: new Map() });
    }
    this.#seers = seers.sort((a, b) => a.ms - b.ms);
    this.#waker.notes = false;
  }

  /** Whether some test fails with this change awake. @param file where the change is */
  async judge(number: number, file: string): Promise<Verdict> {
    const before = (seer: Seer) => seer.noticed.get(file) ?? 0;
    const inTurn = this.#seers.toSorted((a, b) => before(b) - before(a));
    for (const seer of inTurn) {
      const atLoad = seer.whileLoading.has(number);
      const wanted = seer.tests.map(({ seen }) => atLoad || seen.has(number));
      if (!wanted.includes(true)) continue;
      const verdict = await this.#ask(seer, wanted, number);
      if (verdict === 'survives') continue;
      seer.noticed.set(file, before(seer) + 1);
      return verdict;
    }
    return 'survives';
  }

  async #ask(seer: Seer, wanted: readonly boolean[], number: number): Promise<Verdict> {
    const waker = this.#waker;
    /* Of the whole file: what an earlier test has worked out for a later one is worked out anew here. */
    const asked = seer.tests.reduce((sum, test) => sum + test.asked, 0);
    try {
      waker.asked = 0;
      waker.most = FOR_EVER.whileLoading;
      waker.on = number;
      const collected = this.#collect(seer.file);
      /* A test that is gone fails nowhere: where there are others than before, each of them is asked. */
      const others = collected.length !== wanted.length;
      for (const [at, test] of collected.entries()) {
        if (!others && wanted[at] !== true) continue;
        waker.asked = 0;
        waker.most = asked * FOR_EVER.times + FOR_EVER.more;
        await test.run();
      }
      return 'survives';
    } catch (error) {
      return error instanceof Endless || waker.asked > waker.most ? 'endless' : 'noticed';
    } finally {
      waker.on = -1;
      waker.most = Infinity;
    }
  }
}
