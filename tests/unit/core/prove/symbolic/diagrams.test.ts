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
    const value = fc.oneof(fc.constant(NO), fc.constant(YES), table);
    const becomes = fc.uniqueArray(fc.tuple(fc.integer({ min: 0, max: VARIABLES - 1 }), value), {
      selector: ([place]) => place,
    });
    fc.assert(
      fc.property(table, table, becomes, (states, guard, changes) => {
        const whole = (of: number) => (of === YES ? 0xffffffff : of);
        const values = changes.map(([place, of]) => [place, whole(of)] as const);
        let led = 0;
        for (const row of ALL) {
          if ((((states & guard) >>> row) & 1) === 0) continue;
          const after = values.reduce(
            (all, [place, of]) => (all & ~(1 << place)) | (((of >>> row) & 1) << place),
            row,
          );
          led |= 1 << after;
        }
        const byLevel = new Map(values.map(([place, of]) => [place * 2, made(d, of)]));
        const relation = d.all([
          made(d, guard),
          ...[...byLevel].flatMap(([level, of]) =>
            of > YES ? [d.not(d.xor(d.variable(level + 1), of))] : [],
          ),
        ]);
        const image = d.image(made(d, states), relation, d.changesOf(byLevel));
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
