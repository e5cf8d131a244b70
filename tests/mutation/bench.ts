/**
 * The tests of the rules, ready to be run again with one change awake: only those that came by it; first those
 * that noticed something in the same function, then those that noticed most in the same file, the quickest first.
 */
import fc from 'fast-check';
import { globSync } from 'node:fs';
import { Collector, type Collected } from './collect.ts';
import { Graph } from './graph.ts';
import { prepared, root, type Place } from './places.ts';
import { Endless, Waker } from './waker.ts';

/**
 * `unseen`: no test comes by with a value that the change would make another one. `putOff`: the quickest tests
 * have not noticed it in the time that was given, and the others have not been asked.
 */
export type Verdict = 'noticed' | 'survives' | 'unseen' | 'endless' | 'putOff';

/** Nothing fails with it. */
export const isLeft = (verdict: Verdict | undefined) =>
  verdict === 'survives' || verdict === 'unseen';

/** What is changed. */
export const SOURCES = globSync('src/lib/core/{job,safety}/*.ts', { cwd: root }).sort();
/** What is asked whether it notices. */
const TESTS = ['tests/unit/core/{job,safety}/**/*.test.ts'];
/**
 * Long tests that are asked about these files alone, since they come by nearly everything: what they would
 * notice elsewhere counts as unnoticed.
 */
const ABOUT: readonly { readonly test: RegExp; readonly of: RegExp }[] = [
  { test: /job\/rebase\.test/u, of: /rebase|state|draft/u },
];
/** So many times as many questions as the whole file asks with nothing changed, and some, is for ever. */
const FOR_EVER = { times: 20, more: 200_000, whileLoading: 5_000_000 };

/** A test file named like the changed one comes before others that have not noticed more than so many. */
const NAMED_ALIKE = 10;
/** So many of the tests that noticed something in a function are asked first about it. */
const LATELY = 4;

interface Test {
  readonly seen: ReadonlySet<number>;
  readonly asked: number;
  readonly ms: number;
  /** How many changes of each file it has noticed. */
  readonly noticed: Map<string, number>;
}

interface Seer {
  readonly file: string;
  readonly ms: number;
  readonly whileLoading: ReadonlySet<number>;
  readonly tests: readonly Test[];
}

/** One test file, and which of its tests are asked, in their turn. */
interface Asking {
  readonly seer: Seer;
  readonly tests: readonly number[];
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

function isAsked({ file }: Seer, about: string): boolean {
  return ABOUT.every(({ test, of }) => !test.test(file) || of.test(about));
}

/** CPU time of this process, in ms: other work of the machine does not count. */
function spent(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

const wordsOf = (path: string) => /([^/]+)\.ts$/u.exec(path)?.[1]?.split(/[-.]/u) ?? [];

/** Whether two files have a word of their names in common: `lapses` and `lapse-rows.test` have. */
function isNamedAlike(test: string, about: string): boolean {
  const words = wordsOf(test).map((word) => word.slice(0, 5));
  return wordsOf(about).some((word) => words.includes(word.slice(0, 5)));
}

const functionOf = ({ file, name }: Place) => `${file} ${name.split(':', 1)[0] ?? ''}`;

function isSeenBy({ whileLoading, tests }: Seer, number: number): boolean {
  return whileLoading.has(number) || tests.some(({ seen }) => seen.has(number));
}

export class Bench {
  readonly #waker = new Waker();
  readonly #collector = new Collector();
  readonly #graph: Graph;
  #seers: readonly Seer[] = [];
  readonly #lately = new Map<string, readonly Asking[]>();

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

  /**
   * Runs everything with nothing changed, each test by itself and loaded afresh: what it comes by is then all
   * that can change its outcome, since nothing is left that an earlier one has worked out.
   * @throws when a test fails
   */
  async rehearse(): Promise<void> {
    const seers: Seer[] = [];
    for (const file of globSync(TESTS, { cwd: root })) {
      let whileLoading: ReadonlySet<number> = new Set();
      const tests: Test[] = [];
      for (let at = 0, all = 1; at < all; at += 1) {
        this.#waker.seen = new Set();
        const collected = this.#collect(file);
        all = collected.length;
        whileLoading = this.#waker.seen;
        tests.push(await this.#rehearseOne(file, collected[at]));
      }
      const ms = tests.reduce((sum, test) => sum + test.ms, 0);
      seers.push({ file, ms, whileLoading, tests });
    }
    this.#seers = seers.sort((a, b) => a.ms - b.ms);
    this.#waker.notes = false;
  }

  async #rehearseOne(file: string, collected: Collected | undefined): Promise<Test> {
    const waker = this.#waker;
    waker.seen = new Set();
    waker.asked = 0;
    const began = spent();
    try {
      await collected?.run();
    } catch (error) {
      const name = `${file}, ${collected?.name ?? ''}`;
      throw new Error(`${name}: fails with nothing changed.`, { cause: error });
    }
    return { seen: waker.seen, asked: waker.asked, ms: spent() - began, noticed: new Map() };
  }

  /** Changes that some test comes by, with a value that they would make another one. */
  seen(number: number): boolean {
    return this.#seers.some((seer) => isSeenBy(seer, number));
  }

  /**
   * Whether some test fails with this change awake.
   * @param most CPU time in ms after which it is put off
   */
  async judge(number: number, place: Place, most: number): Promise<Verdict> {
    const asking = this.#asking(number, place.file);
    if (asking.length === 0) return 'unseen';
    const until = most === Infinity ? most : spent() + most;
    for (const each of [...this.#soonest(asking, place), ...asking]) {
      const { verdict, test } = await this.#ask(each, number, until);
      if (verdict === 'survives') continue;
      if (test !== undefined) this.#remember(each.seer, test, place);
      return verdict;
    }
    return 'survives';
  }

  /** Who comes by, in turn. */
  #asking(number: number, about: string): Asking[] {
    const by = (test: Test | undefined) => test?.noticed.get(about) ?? 0;
    const sum = ({ file, tests }: Seer) =>
      tests.reduce((all, test) => all + by(test), isNamedAlike(file, about) ? NAMED_ALIKE : 0);
    return this.#seers
      .filter((seer) => isAsked(seer, about) && isSeenBy(seer, number))
      .sort((a, b) => sum(b) - sum(a))
      .map((seer) => {
        const { tests, whileLoading } = seer;
        /* What was worked out while loading, any test can lean on. */
        const isAll = whileLoading.has(number);
        const wanted = [...tests.entries()]
          .filter(([, { seen }]) => isAll || seen.has(number))
          .sort(([, a], [, b]) => by(b) - by(a) || a.ms - b.ms);
        return { seer, tests: wanted.map(([at]) => at) };
      });
  }

  /** The tests that noticed the last changes in the same function, one by one. */
  #soonest(asking: readonly Asking[], place: Place): Asking[] {
    return (this.#lately.get(functionOf(place)) ?? []).flatMap(({ seer, tests: [test = -1] }) => {
      const wanted = asking.find((each) => each.seer === seer)?.tests.includes(test) ?? false;
      return wanted ? [{ seer, tests: [test] }] : [];
    });
  }

  #remember(seer: Seer, at: number, place: Place): void {
    const test = seer.tests[at];
    test?.noticed.set(place.file, (test.noticed.get(place.file) ?? 0) + 1);
    const before = this.#lately.get(functionOf(place)) ?? [];
    const others = before.filter((each) => each.seer !== seer || each.tests[0] !== at);
    this.#lately.set(functionOf(place), [{ seer, tests: [at] }, ...others].slice(0, LATELY));
  }

  async #ask(
    { seer, tests }: Asking,
    number: number,
    until: number,
  ): Promise<{ verdict: Verdict; test?: number }> {
    const waker = this.#waker;
    /* Of the whole file: what an earlier test has worked out for a later one is worked out anew here. */
    const asked = seer.tests.reduce((sum, test) => sum + test.asked, 0);
    let now: number | undefined;
    try {
      waker.asked = 0;
      waker.most = FOR_EVER.whileLoading;
      waker.on = number;
      const collected = this.#collect(seer.file);
      /* A test that is gone fails nowhere: where there are others than before, each of them is asked. */
      const others = collected.length !== seer.tests.length;
      for (const at of others ? collected.keys() : tests) {
        if (until < Infinity && spent() > until) return { verdict: 'putOff' };
        now = others ? undefined : at;
        waker.asked = 0;
        waker.most = asked * FOR_EVER.times + FOR_EVER.more;
        await collected[at]?.run();
      }
      return { verdict: 'survives' };
    } catch (error) {
      const endless = error instanceof Endless || waker.asked > waker.most;
      return {
        verdict: endless ? 'endless' : 'noticed',
        ...(now === undefined ? {} : { test: now }),
      };
    } finally {
      waker.on = -1;
      waker.most = Infinity;
    }
  }
}
