import { jStat } from 'jstat';
import { describe, expect, test } from 'vitest';
import {
  conformance,
  guardBand,
  judgeNumber,
  normalCdf,
  standardUncertainty,
} from '../../../../src/lib/core/measure/uncertainty.ts';

describe('the normal distribution', () => {
  test('agrees with jstat over the whole range that matters', () => {
    for (let z = -8; z <= 8; z += 0.03125) {
      expect(Math.abs(normalCdf(z) - jStat.normal.cdf(z, 0, 1))).toBeLessThan(2e-13);
    }
  });

  // Abramowitz and Stegun, table 26.2 (upper tails), to the digits printed.
  test.each([
    [0, 0.5, 0],
    [1, 0.15865525393145705, 2e-16],
    [2, 0.02275013194817921, 2e-16],
    [3, 0.0013498980316300946, 1e-18],
    [5, 2.866515719e-7, 1e-16],
  ])('the tail beyond %d', (z, tail, tolerance) => {
    expect(Math.abs(normalCdf(-z) - tail)).toBeLessThanOrEqual(tolerance);
  });

  test('series and fraction meet without a step', () => {
    const [left, right] = [normalCdf(-2.5 + 1e-12), normalCdf(-2.5)];
    expect(left - right).toBeGreaterThan(0);
    expect(left - right).toBeLessThan(1e-12);
  });

  test('ends at zero and one, and passes NaN on', () => {
    expect(normalCdf(-Infinity)).toBe(0);
    expect(normalCdf(Infinity)).toBe(1);
    expect(normalCdf(-40)).toBe(0);
    expect(normalCdf(NaN)).toBeNaN();
  });
});

describe('conformance', () => {
  test('agrees with jstat on two-sided limits, near and far', () => {
    for (const [mean, u, least, most] of [
      [10, 0.4, 9, 11],
      [12, 0.4, 9, 11],
      [7, 0.9, 9, 11],
      [9, 3, 9, 11],
    ] as const) {
      const theirs = jStat.normal.cdf(most, mean, u) - jStat.normal.cdf(least, mean, u);
      const ours = conformance(mean, u, { least, most });
      expect(Math.abs(ours.inside - theirs)).toBeLessThan(1e-12);
      expect(ours.inside + ours.outside).toBeCloseTo(1, 12);
    }
  });

  test('keeps the digits of a very small risk', () => {
    const { outside } = conformance(0, 1, { most: 7 });
    expect(outside / 1.279812543885835e-12).toBeCloseTo(1, 9);
  });

  test('keeps the digits of a very small chance, on either side', () => {
    for (const limits of [{ least: 7 }, { least: 7, most: 20 }]) {
      expect(conformance(0, 1, limits).inside / 1.279812543885835e-12).toBeCloseTo(1, 9);
    }
    expect(conformance(0, 1, { most: -7 }).inside / 1.279812543885835e-12).toBeCloseTo(1, 9);
  });

  test('without uncertainty is yes or no, the limit itself being inside', () => {
    expect(conformance(1, 0, { most: 1 })).toEqual({ inside: 1, outside: 0 });
    expect(conformance(1.01, 0, { most: 1 })).toEqual({ inside: 0, outside: 1 });
    expect(conformance(0, 0, { least: 1 })).toEqual({ inside: 0, outside: 1 });
    expect(conformance(5, 1, {})).toEqual({ inside: 1, outside: 0 });
  });
});

describe('a bare number', () => {
  test('passes, fails or straddles by its whole interval', () => {
    expect(judgeNumber(0.9, 0.05, { most: 1 }).verdict).toBe('pass');
    expect(judgeNumber(0.95, 0.05, { most: 1 }).verdict).toBe('pass');
    expect(judgeNumber(0.96, 0.05, { most: 1 }).verdict).toBe('cannotTell');
    expect(judgeNumber(1.05, 0.05, { most: 1 }).verdict).toBe('cannotTell');
    expect(judgeNumber(1.06, 0.05, { most: 1 }).verdict).toBe('fail');
    expect(judgeNumber(0.9, 0.05, { least: 1 }).verdict).toBe('fail');
  });

  test('a limit of error is rectangular: u is a third of its square (GUM 4.3.7)', () => {
    expect(standardUncertainty(3) ** 2).toBeCloseTo(3, 12);
  });

  test('a wider guard band means a smaller worst risk', () => {
    expect(guardBand(0.2, 1).width).toBeCloseTo(0.2, 12);
    expect(guardBand(0.2, 0).worstRisk).toBe(0.5);
    expect(guardBand(1, 2).worstRisk).toBeLessThan(guardBand(1, 1).worstRisk);
  });
});
