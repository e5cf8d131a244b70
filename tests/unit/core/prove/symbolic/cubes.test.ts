/** What sets of states have in common, against their truth tables. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { Cubes } from '#lib/core/prove/symbolic/cubes.ts';
import { NO, YES } from '#lib/core/prove/symbolic/diagrams.ts';
import {
  ALL,
  VARIABLES,
  made,
  settings,
  table,
  tableOf,
} from '../../../../support/truth-tables.ts';

/* Few settings have much in common, many have nothing. */
const few = fc
  .uniqueArray(fc.integer({ min: 0, max: 31 }), { minLength: 1, maxLength: 4 })
  .map((rows) => rows.reduce((all, row) => (all | (1 << row)) >>> 0, 0));

/** By variable what is the same in every row of a table. */
function sameIn(states: number): Map<number, boolean> {
  const rows = ALL.filter((row) => ((states >>> row) & 1) === 1);
  const same = new Map<number, boolean>();
  for (let place = 0; place < VARIABLES; place++) {
    const values = new Set(rows.map((row) => settings(row)[place] === 1));
    const [value] = values;
    if (values.size === 1 && value !== undefined) same.set(place * 2, value);
  }
  return same;
}

const sorted = (said: ReadonlyMap<number, boolean>) => [...said].sort(([a], [b]) => a - b);

/** The variables stand in another order than their numbers. */
function turned(): Cubes {
  const d = new Cubes(12);
  d.arrange([3, 0, 4, 1, 2]);
  return d;
}

test('what is the same in all states, and nothing else', () => {
  const d = turned();
  fc.assert(
    fc.property(fc.oneof(few, table), (states) => {
      fc.pre(states !== 0);
      const cube = d.common(made(d, states), VARIABLES);
      expect(sorted(d.saidBy(cube))).toEqual(sorted(sameIn(states)));
      expect(d.implies(made(d, states), cube)).toBe(true);
    }),
    { numRuns: 500 },
  );
  expect(d.common(NO, VARIABLES)).toBe(NO);
  expect(d.common(YES, VARIABLES)).toBe(YES);
});

test('a cube without some of its variables says the same of the others', () => {
  const d = turned();
  fc.assert(
    fc.property(few, fc.subarray([0, 2, 4, 6, 8]), (states, dropped) => {
      const said = sameIn(states);
      const cube = d.loosened(d.common(made(d, states), VARIABLES), dropped);
      for (const variable of dropped) said.delete(variable);
      expect(sorted(d.saidBy(cube))).toEqual(sorted(said));
    }),
  );
});

test('a question given a cube is the same where the cube holds, and asks none of its variables', () => {
  const d = turned();
  let smaller = 0;
  fc.assert(
    fc.property(table, few, (question, states) => {
      const cube = d.common(made(d, states), VARIABLES);
      const whole = made(d, question);
      const given = d.given(whole, cube);
      const holds = tableOf(d, cube);
      expect((tableOf(d, given) & holds) >>> 0).toBe((question & holds) >>> 0);
      const asked = d.support(given);
      for (const variable of d.saidBy(cube).keys()) expect(asked.has(variable)).toBe(false);
      if (d.sizeOf(given) < d.sizeOf(whole)) smaller++;
    }),
    { numRuns: 300 },
  );
  expect(smaller).toBeGreaterThan(50);
});
