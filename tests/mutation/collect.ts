/** Takes the place of the test runner inside a mutation run: keeps the tests of a file instead of running them. */
import fc from 'fast-check';
import { expect } from 'vitest';

export interface Collected {
  readonly name: string;
  readonly run: () => unknown;
}

type Body = (...given: never[]) => unknown;

/** The function among what a test or a group was given beside its name. */
function bodyOf(given: readonly unknown[]): Body {
  const body = given.find((each) => typeof each === 'function');
  if (!body) throw new Error('A test without a body.');
  return body as Body;
}

const rowOf = (row: unknown): never[] => (Array.isArray(row) ? row : [row]) as never[];

export class Collector {
  tests: Collected[] = [];

  readonly #test = Object.assign(
    (name: string, ...given: readonly unknown[]) => {
      this.tests.push({ name, run: bodyOf(given) as () => unknown });
    },
    {
      each:
        (rows: readonly unknown[]) =>
        (name: string, ...given: readonly unknown[]) => {
          const body = bodyOf(given);
          rows.forEach((row, at) => {
            this.tests.push({ name: `${name} [${at}]`, run: () => body(...rowOf(row)) });
          });
        },
      runIf:
        (holds: boolean) =>
        (name: string, ...given: readonly unknown[]) => {
          if (holds) this.tests.push({ name, run: bodyOf(given) as () => unknown });
        },
      prop:
        (arbitraries: readonly fc.Arbitrary<unknown>[], settings?: object) =>
        (name: string, ...given: readonly unknown[]) => {
          const run = () => fc.assert(propertyOf(arbitraries, bodyOf(given)) as never, settings);
          this.tests.push({ name, run });
        },
    },
  );

  readonly #describe = Object.assign(
    (_: string, ...given: readonly unknown[]) => {
      bodyOf(given)();
    },
    {
      each:
        (rows: readonly unknown[]) =>
        (_: string, ...given: readonly unknown[]) => {
          for (const row of rows) bodyOf(given)(...rowOf(row));
        },
    },
  );

  /** What stands for each package of the tests. */
  modules(): ReadonlyMap<string, unknown> {
    const vitest = { __esModule: true, expect, test: this.#test, it: this.#test };
    return new Map<string, unknown>([
      ['vitest', { ...vitest, describe: this.#describe }],
      ['@fast-check/vitest', { __esModule: true, fc, test: this.#test, it: this.#test }],
    ]);
  }
}

/** A body that throws fails; arbitraries come as a list. */
function propertyOf(arbitraries: readonly fc.Arbitrary<unknown>[], body: Body): unknown {
  return fc.asyncProperty(fc.tuple(...arbitraries), async (given) => {
    await body(...(given as never[]));
  });
}
