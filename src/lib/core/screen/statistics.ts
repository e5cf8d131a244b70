/**
 * Robust statistics for small, dirty samples. Every function is total: where a figure has no meaning (no
 * values, no spread) it is null, never infinite.
 */

/** Values beyond this modified z deserve a look: Iglewicz & Hoaglin, How to Detect and Handle Outliers, 1993. */
export const OUTLYING = 3.5;

export function mean(values: readonly number[]): number | null {
  if (values.length === 0) return null;
  const first = values.reduce((sum, value) => sum + value, 0) / values.length;
  // Once more over what is left, which takes away most of what rounding cost.
  return first + values.reduce((sum, value) => sum + (value - first), 0) / values.length;
}

/** Of a sample (n − 1), in two passes: a sum of squares loses every digit of nearly equal values. */
export function deviation(values: readonly number[]): number | null {
  const middle = mean(values);
  if (middle === null || values.length < 2) return null;
  const squares = values.reduce((sum, value) => sum + (value - middle) ** 2, 0);
  return Math.sqrt(squares / (values.length - 1));
}

/** How much each value follows from the one before, -1 to 1; null without spread. */
export function lagOne(values: readonly number[]): number | null {
  const middle = mean(values);
  if (middle === null) return null;
  const off = values.map((value) => value - middle);
  const all = off.reduce((sum, value) => sum + value * value, 0);
  if (all === 0) return null;
  return off.slice(1).reduce((sum, value, at) => sum + value * (off[at] ?? 0), 0) / all;
}

/** Deviation as a share of the mean; null unless the mean is above zero. */
export function variation(values: readonly number[]): number | null {
  const [middle, spread] = [mean(values), deviation(values)];
  return middle === null || spread === null || middle <= 0 ? null : spread / middle;
}

/** The value below which this share (0 to 1) lies, between neighbours in proportion. */
export function quantile(values: readonly number[], share: number): number | null {
  if (values.length === 0) return null;
  const sorted = values.toSorted((a, b) => a - b);
  const at = Math.min(1, Math.max(0, share)) * (sorted.length - 1);
  const low = sorted[Math.floor(at)] ?? 0;
  const high = sorted[Math.ceil(at)] ?? low;
  return low + (high - low) * (at - Math.floor(at));
}

export const median = (values: readonly number[]): number | null => quantile(values, 0.5);

/** Median distance from the median. */
export function medianDeviation(values: readonly number[]): number | null {
  const middle = median(values);
  return middle === null ? null : median(values.map((value) => Math.abs(value - middle)));
}

/**
 * 0.6745 (x − median) / MAD of each value, as Iglewicz & Hoaglin; null when half of the values or more
 * are equal, because then nothing says what is usual.
 */
export function modifiedScores(values: readonly number[]): readonly number[] | null {
  const [middle, spread] = [median(values), medianDeviation(values)];
  if (middle === null || spread === null || spread === 0) return null;
  return values.map((value) => (0.6745 * (value - middle)) / spread);
}

export interface ChiSquare {
  readonly chi2: number;
  /** Probability of at least this much by chance. */
  readonly p: number;
}

/** Pearson's test that every class is as likely as any other; null without counts. */
export function evenness(counts: readonly number[]): ChiSquare | null {
  const all = counts.reduce((sum, count) => sum + count, 0);
  if (counts.length < 2 || all === 0) return null;
  const expected = all / counts.length;
  const chi2 = counts.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0);
  return { chi2, p: upperGamma((counts.length - 1) / 2, chi2 / 2) };
}

/**
 * Regularized upper incomplete gamma function Q(a, x), a > 0: NIST Digital Library of Mathematical
 * Functions, 8.11.4 (series) and 8.9.2 (continued fraction, evaluated as Lentz does).
 */
export function upperGamma(a: number, x: number): number {
  if (x <= 0) return 1;
  const front = Math.exp(a * Math.log(x) - x - logGamma(a));
  if (x < a + 1) {
    let term = 1 / a;
    let sum = term;
    for (let n = 1; n < 1000 && Math.abs(term) > Math.abs(sum) * 1e-16; n += 1) {
      term *= x / (a + n);
      sum += term;
    }
    return Math.max(0, 1 - front * sum);
  }
  const tiny = 1e-300;
  let b = x + 1 - a;
  let c = 1 / tiny;
  let d = 1 / b;
  let fraction = d;
  for (let n = 1; n < 1000; n += 1) {
    const an = -n * (n - a);
    b += 2;
    d = 1 / nonZero(an * d + b, tiny);
    c = nonZero(b + an / c, tiny);
    const step = d * c;
    fraction *= step;
    if (Math.abs(step - 1) < 1e-15) break;
  }
  return front * fraction;
}

const nonZero = (value: number, tiny: number): number => (Math.abs(value) < tiny ? tiny : value);

/** Of a > 0: shifted up by the recurrence, then Stirling's series (DLMF 5.11.1). */
export function logGamma(a: number): number {
  let shift = 0;
  let z = a;
  for (; z < 12; z += 1) shift -= Math.log(z);
  const [i, i2] = [1 / z, 1 / (z * z)];
  const series = i * (1 / 12 - i2 * (1 / 360 - i2 * (1 / 1260 - i2 / 1680)));
  return shift + (z - 0.5) * Math.log(z) - z + Math.log(2 * Math.PI) / 2 + series;
}
