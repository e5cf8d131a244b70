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

/** By going on from each setting that has come so far, until none is new. */
function closedByRows(states: number, moves: Moves): number {
  const found = new Set(ALL.filter((row) => ((states >>> row) & 1) === 1));
  for (const row of found) {
    for (const [guard, becomes] of moves) {
      if (((guard >>> row) & 1) === 1) found.add(afterChange(row, becomes));
    }
  }
  return [...found].reduce((all, row) => (all | (1 << row)) >>> 0, 0);
}

/* Few settings to begin with and narrow guards, so that there is a way to go. */
const few = fc
  .uniqueArray(fc.integer({ min: 0, max: 31 }), { maxLength: 3 })
  .map((rows) => rows.reduce((all, row) => (all | (1 << row)) >>> 0, 0));
const narrow = fc.oneof(few, table);
const someMoves = fc.array(fc.tuple(narrow, someChanges), { maxLength: 6 });

test('a closed set is all that can be come to, and nothing else', () => {
  const d = new Closures(12);
  let farther = 0;
  fc.assert(
    fc.property(few, someMoves, (states, moves) => {
      const expected = closedByRows(states, moves);
      const closed = d.closed(
        made(d, states),
        moves.map(([guard, becomes]) => changeOf(d, guard, becomes)),
      );
      expect(tableOf(d, closed)).toBe(expected);
      if (expected !== states) farther++;
    }),
    { numRuns: 2000 },
  );
  expect(farther).toBeGreaterThan(500);
});

test('nothing is remembered of diagrams that were freed', () => {
  const d = new Closures(12);
  fc.assert(
    fc.property(few, someMoves, (states, moves) => {
      d.collect([]);
      const closed = d.closed(
        made(d, states),
        moves.map(([guard, becomes]) => changeOf(d, guard, becomes)),
      );
      expect(tableOf(d, closed)).toBe(closedByRows(states, moves));
    }),
    { numRuns: 500 },
  );
});

test('any order of the variables finds the same', () => {
  const d = new Closures(12);
  d.arrange([3, 0, 4, 2, 1]);
  fc.assert(
    fc.property(few, someMoves, (states, moves) => {
      const closed = d.closed(
        made(d, states),
        moves.map(([guard, becomes]) => changeOf(d, guard, becomes)),
      );
      expect(tableOf(d, closed)).toBe(closedByRows(states, moves));
    }),
    { numRuns: 500 },
  );
});
