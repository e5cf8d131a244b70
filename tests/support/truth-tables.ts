/** Truth tables over a few variables beside diagrams: a table is a whole number with one bit for each setting. */
import fc from 'fast-check';
import {
  NO,
  YES,
  type Diagram,
  type Diagrams,
} from '../../src/lib/core/prove/symbolic/diagrams.ts';

export const VARIABLES = 5;
const ROWS = 2 ** VARIABLES;
export const ALL = Array.from({ length: ROWS }, (_, row) => row);
export const settings = (row: number) =>
  Uint8Array.from({ length: VARIABLES }, (_, place) => (row >> place) & 1);

/** A truth table as a diagram. */
export function made(d: Diagrams, table: number): Diagram {
  const build = (place: number, row: number): Diagram => {
    if (place === VARIABLES) return ((table >>> row) & 1) === 1 ? YES : NO;
    const [low, high] = [build(place + 1, row), build(place + 1, row | (1 << place))];
    return d.choose(d.variable(place * 2), high, low);
  };
  return build(0, 0);
}

export const tableOf = (d: Diagrams, a: Diagram) =>
  ALL.reduce((table, row) => (d.holds(a, settings(row)) ? table | (1 << row) : table), 0) >>> 0;

export const table = fc.integer({ min: 0, max: 0xffffffff });

/** Places of variables, each with the table of what it becomes. */
export type Becomes = readonly (readonly [place: number, of: number])[];

export const someChanges: fc.Arbitrary<Becomes> = fc.uniqueArray(
  fc.tuple(
    fc.integer({ min: 0, max: VARIABLES - 1 }),
    fc.oneof(fc.constant(0), fc.constant(0xffffffff), table),
  ),
  { selector: ([place]) => place },
);

/** The setting that a setting becomes. */
export function afterChange(row: number, becomes: Becomes): number {
  return becomes.reduce(
    (all, [place, of]) => (all & ~(1 << place)) | (((of >>> row) & 1) << place),
    row,
  );
}

/** The same as `Diagrams.image` wants it. */
export function changeOf(d: Diagrams, guard: number, becomes: Becomes) {
  const byVariable = new Map(becomes.map(([place, of]) => [place * 2, made(d, of)]));
  const relation = d.all([
    made(d, guard),
    ...[...byVariable].flatMap(([variable, of]) =>
      of > YES ? [d.not(d.xor(d.variable(variable + 1), of))] : [],
    ),
  ]);
  return { relation, changes: d.changesOf(byVariable) };
}
