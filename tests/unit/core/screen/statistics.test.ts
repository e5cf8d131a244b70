import { jStat } from 'jstat';
import { describe, expect, it } from 'vitest';
import { betaShare, generalizedDeviates, studentQuantile } from '#lib/core/screen/extremes.ts';
import { binned, controlChart } from '#lib/core/screen/pictures.ts';
import {
  deviation,
  evenness,
  lagOne,
  mean,
  median,
  medianDeviation,
  modifiedScores,
  OUTLYING,
  quantile,
  upperGamma,
  variation,
} from '#lib/core/screen/statistics.ts';

/** Rosner, Percentage points for a generalized ESD procedure, Technometrics 25 (1983): 54 values. */
const ROSNER =
  `-0.25 0.68 0.94 1.15 1.20 1.26 1.26 1.34 1.38 1.43 1.49 1.49 1.55 1.56 1.58 1.65 1.69 1.70
  1.76 1.77 1.81 1.91 1.94 1.96 1.99 2.06 2.09 2.10 2.14 2.15 2.23 2.24 2.26 2.35 2.37 2.40 2.47 2.54
  2.62 2.64 2.90 2.92 2.92 2.93 3.21 3.26 3.30 3.59 3.68 4.30 4.64 5.34 5.42 6.01`
    .split(/\s+/)
    .map(Number);

/** Gibbons, Unbounded spigot algorithms for the digits of pi, Am. Math. Monthly 113 (2006), via Machin. */
function digitsOfPi(count: number): number[] {
  const unit = 10n ** BigInt(count + 20);
  const arctan = (inverse: bigint): bigint => {
    let [sum, term] = [0n, unit / inverse];
    for (let n = 1n, sign = 1n; term !== 0n; n += 2n, sign = -sign) {
      sum += (sign * term) / n;
      term /= inverse * inverse;
    }
    return sum;
  };
  return [...String(4n * (4n * arctan(5n) - arctan(239n)))].slice(0, count).map(Number);
}

const alternating = (base: number, first: number, other: number): number[] => [
  base + first,
  ...Array.from({ length: 1000 }, (_, at) => base + (at % 2 === 0 ? first - other : first + other)),
];

describe('published data', () => {
  it('Rosner: exactly three of 54 lie beyond 3.5', () => {
    expect(ROSNER).toHaveLength(54);
    expect(median(ROSNER)).toBeCloseTo(2.095, 10);
    expect(medianDeviation(ROSNER)).toBeCloseTo(0.545, 10);
    const scores = modifiedScores(ROSNER) ?? [];
    const beyond = ROSNER.filter((_, at) => Math.abs(scores[at] ?? 0) > OUTLYING);
    expect(beyond).toEqual([5.34, 5.42, 6.01]);
    expect(scores.at(-1)).toBeCloseTo(4.8453, 4);
  });

  it('Rosner: the generalized deviates call three out, though the first two alone would not', () => {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.3: the printed table of this example.
    const printed = [
      [3.118906, 3.158794],
      [2.942973, 3.15143],
      [3.179424, 3.14389],
      [2.810181, 3.136165],
      [2.81558, 3.128247],
      [2.848172, 3.120128],
      [2.279327, 3.111796],
      [2.310366, 3.103243],
      [2.101581, 3.094456],
      [2.067178, 3.085425],
    ];
    const { tried, out } = generalizedDeviates(ROSNER, 10);
    expect(out.map((at) => ROSNER[at])).toEqual([6.01, 5.42, 5.34]);
    expect(tried).toHaveLength(10);
    tried.forEach(({ r, critical }, at) => {
      expect(r).toBeCloseTo(printed[at]?.[0] ?? 0, 5);
      expect(critical).toBeCloseTo(printed[at]?.[1] ?? 0, 5);
    });
    expect(generalizedDeviates([4, 4, 4, 4, 4], 2).out).toEqual([]);
  });

  it('NIST: the chart of counts over 25 wafers', () => {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.1: middle 16, limits 4 and 28, one above.
    const defects = [
      16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14, 16, 15, 13, 14, 16, 11, 20, 11, 19, 16,
      31, 13,
    ];
    const chart = controlChart(
      defects.map((hits, at) => ({ name: `wafer ${at + 1}`, units: 1, hits })),
    );
    expect(chart.middle).toBe(16);
    expect(chart.points[0]).toMatchObject({ low: 4, high: 28 });
    expect(chart.points.filter(({ out }) => out).map(({ name }) => name)).toEqual(['wafer 24']);
    // More units narrow the limits by the root of their number.
    expect(controlChart([{ name: 'a', units: 4, hits: 64 }]).points[0]).toMatchObject({
      low: 10,
      high: 22,
    });
    expect(controlChart([])).toEqual({ middle: null, points: [] });
  });

  // NIST Statistical Reference Datasets, univariate summary statistics: certified values.
  it.each([
    ['NumAcc1', [10000001, 10000003, 10000002], 10000002, 1, -0.5],
    ['NumAcc2', alternating(1, 0.2, 0.1), 1.2, 0.1, -0.999],
    ['NumAcc3', alternating(1_000_000, 0.2, 0.1), 1_000_000.2, 0.1, -0.999],
    ['NumAcc4', alternating(10_000_000, 0.2, 0.1), 10_000_000.2, 0.1, -0.999],
  ])('NIST %s', (_, values, middle, spread, follows) => {
    expect(mean(values)).toBeCloseTo(middle, 8);
    expect(Math.abs((deviation(values) ?? 0) / spread - 1)).toBeLessThan(1e-8);
    expect(lagOne(values)).toBeCloseTo(follows, 8);
  });

  it('NIST PiDigits, and its digits are not called uneven', () => {
    // The published file has one 3 where pi has an 8, as its count of each digit tells. Several places give
    // its lag to the last figure; the first of them is taken.
    const digits = digitsOfPi(5000).with(18, 3);
    expect(digitsOfPi(5000)[18]).toBe(8);
    expect(mean(digits)).toBeCloseTo(4.5348, 12);
    expect(deviation(digits)).toBeCloseTo(2.86733906028871, 12);
    expect(lagOne(digits)).toBeCloseTo(-0.00355099287237972, 14);
    const counts = Array.from(
      { length: 10 },
      (_, digit) => digits.filter((d) => d === digit).length,
    );
    expect(counts).toEqual([466, 531, 496, 461, 508, 525, 513, 488, 491, 521]);
    const found = evenness(counts);
    expect(found?.chi2).toBeCloseTo(10.356, 10);
    expect(found?.p).toBeGreaterThan(0.05);
  });
});

describe('beside a library', () => {
  it("quantiles of Student's t and the incomplete beta function", () => {
    for (const freedom of [1, 2, 5, 30, 200])
      for (const p of [0.6, 0.95, 0.999, 0.9999])
        expect(studentQuantile(p, freedom) / jStat.studentt.inv(p, freedom)).toBeCloseTo(1, 6);
    // The library stops its fraction early.
    for (const x of [0.01, 0.3, 0.5, 0.9]) {
      expect(betaShare(x, 2.5, 0.5)).toBeCloseTo(jStat.ibeta(x, 2.5, 0.5), 8);
      // NIST Digital Library of Mathematical Functions, 8.17.7 at a = b = 1/2, and a power at b = 1.
      expect(betaShare(x, 0.5, 0.5)).toBeCloseTo((2 / Math.PI) * Math.asin(Math.sqrt(x)), 13);
      expect(betaShare(x, 7, 1)).toBeCloseTo(x ** 7, 12);
    }
  });

  it.each([0.5, 1, 2, 4.5, 10, 40])('upper gamma of %d', (a) => {
    for (const x of [0.01, 0.3, 1, 3, 9, 27, 60])
      expect(upperGamma(a, x)).toBeCloseTo(1 - jStat.lowRegGamma(a, x), 10);
  });

  it('spread and quantiles', () => {
    expect(deviation(ROSNER)).toBeCloseTo(jStat.stdev(ROSNER, true), 12);
    expect(variation(ROSNER)).toBeCloseTo(
      jStat.coeffvar(ROSNER.map(Number)) * Math.sqrt(54 / 53),
      1,
    );
    expect(quantile(ROSNER, 0.25)).toBeCloseTo(jStat.percentile(ROSNER, 0.25), 12);
  });
});

describe('where a figure has no meaning', () => {
  it('is null, not infinite', () => {
    expect([mean([]), median([]), deviation([1]), lagOne([2, 2]), variation([0, 0])]).toEqual(
      Array.from({ length: 5 }, () => null),
    );
    expect(modifiedScores([5, 5, 5, 5, 9])).toBeNull();
    expect(evenness([0, 0])).toBeNull();
  });
});

describe('bins', () => {
  it('hold every value once, side by side, with round edges', () => {
    const values = ROSNER.map((value) => value * 60);
    const bins = binned(values);
    expect(bins.reduce((sum, { count }) => sum + count, 0)).toBe(values.length);
    bins.slice(1).forEach(({ from }, at) => expect(from).toBe(bins[at]?.to));
    expect(bins.length).toBeGreaterThan(5);
    expect(bins.length).toBeLessThanOrEqual(25);
    expect(binned([])).toEqual([]);
    expect(binned([3, 3])).toEqual([{ from: 3, to: 3, count: 2 }]);
  });
});
