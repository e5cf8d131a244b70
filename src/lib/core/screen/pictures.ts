/** The figures behind the officer's pictures: counts in bins, and a chart that tells chance from change. */
import { quantile } from './statistics.ts';

export interface Bin {
  /** From here on; the last bin ends with `to` inclusive, the others before it. */
  readonly from: number;
  readonly to: number;
  readonly count: number;
}

const MOST_BINS = 24;

/**
 * Counts in bins as wide as Freedman & Diaconis (On the histogram as a density estimator, 1981) advise,
 * 2·IQR·n^(−1/3), rounded up to 1, 2 or 5 of some power of ten. Empty for no values.
 */
export function binned(values: readonly number[]): readonly Bin[] {
  const [first] = values;
  if (first === undefined) return [];
  let [least, most] = [first, first];
  for (const value of values) [least, most] = [Math.min(least, value), Math.max(most, value)];
  if (least === most) return [{ from: least, to: most, count: values.length }];
  const middle = (quantile(values, 0.75) ?? 0) - (quantile(values, 0.25) ?? 0);
  const advised = (2 * middle) / Math.cbrt(values.length);
  const width = roundWidth(Math.max(advised, (most - least) / MOST_BINS));
  const start = Math.floor(least / width);
  const bins = Array.from({ length: Math.floor(most / width) - start + 1 }, (_, at) => ({
    from: (start + at) * width,
    to: (start + at + 1) * width,
    count: 0,
  }));
  for (const value of values) {
    const bin = bins[Math.min(bins.length - 1, Math.floor(value / width) - start)];
    if (bin !== undefined) bin.count += 1;
  }
  return bins;
}

function roundWidth(width: number): number {
  const power = 10 ** Math.floor(Math.log10(width));
  const times = [1, 2, 5, 10].find((one) => one * power >= width * (1 - 1e-12)) ?? 10;
  return times * power;
}

export interface Counted {
  /** What is on the axis, such as a month. */
  readonly name: string;
  /** How many units were looked at, above 0; `hits` of what was counted in them. */
  readonly units: number;
  readonly hits: number;
}

export interface ChartPoint extends Counted {
  readonly rate: number;
  /** Three deviations of chance below and above the middle, for so many units. */
  readonly low: number;
  readonly high: number;
  /** Outside what chance explains. */
  readonly out: boolean;
}

/**
 * Control chart of counts for each unit: the middle is the rate over all, the limits three times the root
 * of middle / units (Poisson), the lower one not below 0. NIST/SEMATECH e-Handbook of Statistical
 * Methods, 6.3.3.1; for one unit in each point it is the chart of counts given there.
 */
export function controlChart(counted: readonly Counted[]): {
  readonly middle: number | null;
  readonly points: readonly ChartPoint[];
} {
  const looked = counted.filter(({ units }) => units > 0);
  const units = looked.reduce((sum, one) => sum + one.units, 0);
  if (units === 0) return { middle: null, points: [] };
  const middle = looked.reduce((sum, one) => sum + one.hits, 0) / units;
  const points = looked.map((one) => {
    const spread = 3 * Math.sqrt(middle / one.units);
    const [rate, low, high] = [one.hits / one.units, Math.max(0, middle - spread), middle + spread];
    return { ...one, rate, low, high, out: rate < low || rate > high };
  });
  return { middle, points };
}
