/** What a set can come to, against going on from one setting after another. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { Closures } from '#lib/core/prove/symbolic/closure.ts';
import {
  ALL,
  afterChange,
  changeOf,
  made,
  someChanges,
  table,
  tableOf,
  type Becomes,
} from '../../../../support/truth-tables.ts';

type Moves = readonly (readonly [guard: number, becomes: Becomes])[];

type Next = (row: number) => number[];

const onwards =
  (moves: Moves): Next =>
  (row) =>
    moves.flatMap(([guard, becomes]) =>
      ((guard >>> row) & 1) === 1 ? [afterChange(row, becomes)] : [],
    );

const backwards =
  (moves: Moves): Next =>
  (row) =>
    ALL.filter((before) => onwards(moves)(before).includes(row));

/** By going on from each setting that has come so far, until none is new. */
function closedByRows(states: number, next: Next): number {
  const found = new Set(ALL.filter((row) => ((states >>> row) & 1) === 1));
  for (const row of found) for (const other of next(row)) found.add(other);
  return [...found].reduce((all, row) => (all | (1 << row)) >>> 0, 0);
}

/* Few settings to begin with and narrow guards, so that there is a way to go. */
const few = fc
  .uniqueArray(fc.integer({ min: 0, max: 31 }), { maxLength: 3 })
  .map((rows) => rows.reduce((all, row) => (all | (1 << row)) >>> 0, 0));
const narrow = fc.oneof(few, table);
const someMoves = fc.array(fc.tuple(narrow, someChanges), { maxLength: 6 });

const changesOf = (d: Closures, moves: Moves) =>
  moves.map(([guard, becomes]) => changeOf(d, guard, becomes));

/** Says how often there was a way to go. */
function check(d: Closures, runs: number, before: () => void = () => undefined): number {
  let farther = 0;
  fc.assert(
    fc.property(few, someMoves, (states, moves) => {
      before();
      const expected = closedByRows(states, onwards(moves));
      const closed = d.closed(made(d, states), changesOf(d, moves));
      expect(tableOf(d, closed)).toBe(expected);
      const back = d.closedBack(made(d, states), changesOf(d, moves));
      expect(tableOf(d, back)).toBe(closedByRows(states, backwards(moves)));
      if (expected !== states) farther++;
    }),
    { numRuns: runs },
  );
  return farther;
}

test('a closed set is all that can be come to, or come from, and nothing else', () => {
  expect(check(new Closures(12), 2000)).toBeGreaterThan(500);
});

test('nothing is remembered of diagrams that were freed', () => {
  const d = new Closures(12);
  check(d, 500, () => d.collect([]));
});

test('any order of the variables finds the same', () => {
  const d = new Closures(12);
  d.arrange([3, 0, 4, 2, 1]);
  check(d, 500);
});
