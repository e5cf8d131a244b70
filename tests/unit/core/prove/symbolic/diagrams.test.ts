/** Diagrams against truth tables: every operation on every setting of a few variables. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Diagrams, NO, YES, type Diagram } from '#lib/core/prove/symbolic/diagrams.ts';

const VARIABLES = 5;
const ROWS = 2 ** VARIABLES;
const ALL = Array.from({ length: ROWS }, (_, row) => row);
const settings = (row: number) =>
  Uint8Array.from({ length: VARIABLES }, (_, place) => (row >> place) & 1);

/** A truth table as a diagram. */
function made(d: Diagrams, table: number): Diagram {
  const build = (place: number, row: number): Diagram => {
    if (place === VARIABLES) return ((table >>> row) & 1) === 1 ? YES : NO;
    const [low, high] = [build(place + 1, row), build(place + 1, row | (1 << place))];
    return d.choose(d.variable(place * 2), high, low);
  };
  return build(0, 0);
}

const tableOf = (d: Diagrams, a: Diagram) =>
  ALL.reduce((table, row) => (d.holds(a, settings(row)) ? table | (1 << row) : table), 0) >>> 0;

const table = fc.integer({ min: 0, max: 0xffffffff });
const places = fc.subarray([0, 1, 2, 3, 4]);

function cubeOf(d: Diagrams, some: readonly number[]): Diagram {
  return d.all(some.map((place) => d.variable(place * 2)));
}

/** Whether some setting of these places makes the table true, row by row. */
function someOf(given: number, some: readonly number[]): number {
  const mask = some.reduce((all, place) => all | (1 << place), 0);
  return (
    ALL.reduce((result, row) => {
      const met = ALL.some((each) => (each & ~mask) === (row & ~mask) && (given >>> each) & 1);
      return met ? result | (1 << row) : result;
    }, 0) >>> 0
  );
}

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

  test('exists, alone and over and', () => {
    const d = new Diagrams(12);
    fc.assert(
      fc.property(table, table, places, (a, b, some) => {
        const cube = cubeOf(d, some);
        expect(tableOf(d, d.exists(made(d, a), cube))).toBe(someOf(a, some));
        const both = d.andExists(made(d, a), made(d, b), cube);
        expect(tableOf(d, both)).toBe(someOf((a & b) >>> 0, some));
      }),
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
        const composed = d.compose(made(d, a), becomes, id++, 6);
        for (const row of ALL) {
          const moved =
            (row & ~((1 << 1) | (1 << 3))) | (((b >>> row) & 1) << 1) | (((c >>> row) & 1) << 3);
          expect(d.holds(composed, settings(row))).toBe(((a >>> moved) & 1) === 1);
        }
      }),
      { numRuns: 60 },
    );
  });

  test('what is said of the variables after a move is said of them now', () => {
    const d = new Diagrams(12);
    const after = d.and(d.variable(3), d.not(d.variable(7)));
    expect(d.nextToNow(after)).toBe(d.and(d.variable(2), d.not(d.variable(6))));
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
});
