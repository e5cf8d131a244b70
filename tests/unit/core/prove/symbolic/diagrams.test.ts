/** Diagrams against truth tables: every operation on every setting of a few variables. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Diagrams } from '#lib/core/prove/symbolic/diagrams.ts';
import {
  ALL,
  VARIABLES,
  afterChange,
  changeOf,
  made,
  settings,
  someChanges,
  table,
  tableOf,
} from '../../../../support/truth-tables.ts';

describe('a diagram', () => {
  test('equal tables are the same number, and others are not', () => {
    const d = new Diagrams(12);
    fc.assert(
      fc.property(table, table, (one, other) => {
        expect(made(d, one) === made(d, other)).toBe(one === other);
        expect(tableOf(d, made(d, one))).toBe(one);
      }),
    );
  });

  test('and, or, xor, but, not, choose', () => {
    const d = new Diagrams(12);
    fc.assert(
      fc.property(table, table, table, (a, b, c) => {
        const [x, y, z] = [made(d, a), made(d, b), made(d, c)];
        expect(tableOf(d, d.and(x, y))).toBe((a & b) >>> 0);
        expect(tableOf(d, d.or(x, y))).toBe((a | b) >>> 0);
        expect(tableOf(d, d.xor(x, y))).toBe((a ^ b) >>> 0);
        expect(tableOf(d, d.but(x, y))).toBe((a & ~b) >>> 0);
        expect(tableOf(d, d.not(x))).toBe(~a >>> 0);
        expect(tableOf(d, d.choose(x, y, z))).toBe(((a & b) | (~a & c)) >>> 0);
        expect(d.implies(x, y)).toBe((a & ~b) === 0);
      }),
    );
  });

  test('image leads every state to where its variables are set anew, row by row', () => {
    const d = new Diagrams(12);
    fc.assert(
      fc.property(table, table, someChanges, (states, guard, values) => {
        let led = 0;
        for (const row of ALL) {
          if ((((states & guard) >>> row) & 1) === 1) led |= 1 << afterChange(row, values);
        }
        const { relation, changes: sets } = changeOf(d, guard, values);
        const image = d.image(made(d, states), relation, sets);
        expect(tableOf(d, image)).toBe(led >>> 0);
      }),
      { numRuns: 500 },
    );
  });

  test('within agrees wherever the care holds, and is nothing where they never meet', () => {
    const d = new Diagrams(12);
    fc.assert(
      fc.property(table, table, (a, care) => {
        fc.pre(care !== 0);
        const small = tableOf(d, d.within(made(d, a), made(d, care)));
        expect((small & care) >>> 0).toBe((a & care) >>> 0);
        if ((a & care) === 0) expect(small).toBe(0);
      }),
    );
  });

  test('compose asks of what the variables become', () => {
    const d = new Diagrams(12);
    let id = 0;
    fc.assert(
      fc.property(table, table, table, (a, b, c) => {
        const becomes = new Map([
          [2, made(d, b)],
          [6, made(d, c)],
        ]);
        const composed = d.compose(made(d, a), becomes, id++);
        for (const row of ALL) {
          const moved =
            (row & ~((1 << 1) | (1 << 3))) | (((b >>> row) & 1) << 1) | (((c >>> row) & 1) << 3);
          expect(d.holds(composed, settings(row))).toBe(((a >>> moved) & 1) === 1);
        }
      }),
      { numRuns: 60 },
    );
  });

  test('countOf counts rows, example gives one of them', () => {
    const d = new Diagrams(12);
    fc.assert(
      fc.property(table, (a) => {
        const rows = ALL.filter((row) => ((a >>> row) & 1) === 1);
        expect(d.countOf(made(d, a), VARIABLES)).toBe(rows.length);
        const example = d.example(made(d, a), VARIABLES);
        expect(example !== undefined && d.holds(made(d, a), example)).toBe(rows.length > 0);
      }),
    );
  });

  test('collecting keeps what is asked for, and frees the rest', () => {
    const d = new Diagrams(12);
    const kept = made(d, 0x9669_3ac5);
    for (let each = 0; each < 300; each++) made(d, Math.imul(each, 0x9e3779b1) >>> 0);
    const before = d.count;
    d.collect([kept]);
    expect(d.count).toBeLessThan(before);
    expect(tableOf(d, kept)).toBe(0x9669_3ac5);
    expect(made(d, 0x9669_3ac5)).toBe(kept);
    expect(tableOf(d, made(d, 0x1234_5678))).toBe(0x1234_5678);
  });

  test('variables moved to better places: what diagrams say stays, the next ones are the same, all is smaller', () => {
    const d = new Diagrams(12);
    /* Pairs far apart: 126 nodes in this order, 12 where each pair stands side by side. */
    const pair = (one: number) => d.and(d.variable(one * 2), d.variable(one * 2 + 12));
    const far = d.any([0, 1, 2, 3, 4, 5].map(pair));
    const next = d.xor(d.variable(1), d.variable(11));
    const rows = [0b000001_000001, 0b100000_100000, 0b100000_000001, 0b111111_000000, 0];
    const said = () =>
      rows.map((row) =>
        d.holds(
          far,
          Uint8Array.from({ length: 12 }, (_, at) => (row >> at) & 1),
        ),
      );
    const before = said();
    const size = d.sizeOf(far);
    d.sift([far, next]);
    expect(said()).toEqual(before);
    expect(d.sizeOf(far)).toBeLessThan(16);
    expect(size).toBe(126);
    expect(d.any([5, 4, 3, 2, 1, 0].map(pair))).toBe(far);
    expect(d.xor(d.variable(11), d.variable(1))).toBe(next);
    for (let place = 0; place < 12; place++) {
      expect(d.levelOf(place * 2 + 1)).toBe(d.levelOf(place * 2) + 1);
      expect(d.variableAt(d.levelOf(place * 2))).toBe(place * 2);
    }
  });

  test('any tables survive it, several times over', () => {
    const d = new Diagrams(12);
    fc.assert(
      fc.property(fc.array(table, { minLength: 1, maxLength: 6 }), (tables) => {
        const all = tables.map((each) => made(d, each));
        d.sift(all);
        expect(all.map((each) => tableOf(d, each))).toEqual(tables);
        expect(tables.map((each) => made(d, each))).toEqual(all);
        all.forEach((each, at) => {
          const rows = ALL.filter((row) => (((tables[at] as number) >>> row) & 1) === 1);
          expect(d.countOf(each, VARIABLES)).toBe(rows.length);
        });
      }),
    );
  });
});
