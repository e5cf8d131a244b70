import { expect, test } from 'vitest';

/** [source, what was computed, what was published, how far apart they may be] */
export type Row = readonly [string, number, number, number];

/** One test for each row, named by its source. */
export function agrees(rows: readonly Row[]): void {
  test.each(rows)('%s', (_source, computed, published, tolerance) => {
    expect(Math.abs(computed - published)).toBeLessThanOrEqual(tolerance);
  });
}
