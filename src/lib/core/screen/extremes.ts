/** Which values lie too far out to belong to the rest, and how many: the generalized extreme studentized deviate. */
import { deviation, logGamma, mean } from './statistics.ts';

export interface Deviate {
  /** Place of the value in the list that was given. */
  readonly at: number;
  /** Greatest distance from the mean in deviations, with the ones before it taken out. */
  readonly r: number;
  readonly critical: number;
}

export interface Extremes {
  /** Most extreme first, one for each that was tried. */
  readonly tried: readonly Deviate[];
  /** Places of those that do not belong to the rest. */
  readonly out: readonly number[];
}

/**
 * Rosner, Percentage points for a generalized ESD many-outlier procedure, Technometrics 25 (1983). The
 * count is the last at which the deviate passes its critical value, so that several cannot hide one another.
 * @param most how many may lie out at most; alpha is the chance to call one so that does not
 */
export function generalizedDeviates(
  values: readonly number[],
  most: number,
  alpha = 0.05,
): Extremes {
  const n = values.length;
  const left = values.map((value, at) => ({ value, at }));
  const tried: Deviate[] = [];
  for (let i = 1; i <= Math.min(most, n - 3); i += 1) {
    const rest = left.map(({ value }) => value);
    const [middle, spread] = [mean(rest), deviation(rest)];
    if (middle === null || spread === null || spread === 0) break;
    let farthest = 0;
    rest.forEach((value, at) => {
      if (Math.abs(value - middle) > Math.abs((rest[farthest] ?? middle) - middle)) farthest = at;
    });
    const [taken] = left.splice(farthest, 1);
    if (taken === undefined) break;
    const t = studentQuantile(1 - alpha / (2 * (n - i + 1)), n - i - 1);
    const critical = ((n - i) * t) / Math.sqrt((n - i - 1 + t * t) * (n - i + 1));
    tried.push({ at: taken.at, r: Math.abs(taken.value - middle) / spread, critical });
  }
  const count = tried.findLastIndex(({ r, critical }) => r > critical) + 1;
  return { tried, out: tried.slice(0, count).map(({ at }) => at) };
}

/**
 * The value that Student's t with so many degrees of freedom stays below with this probability.
 * @param p above one half, below one
 */
export function studentQuantile(p: number, freedom: number): number {
  const above = (t: number): number => betaShare(freedom / (freedom + t * t), freedom / 2, 0.5) / 2;
  let [low, high] = [0, 1];
  while (above(high) > 1 - p && high < 1e9) high *= 2;
  for (let round = 0; round < 100; round += 1) {
    const middle = (low + high) / 2;
    if (above(middle) > 1 - p) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/**
 * Regularized incomplete beta function I_x(a, b): NIST Digital Library of Mathematical Functions, 8.17.22,
 * evaluated as Lentz does, on the side of 8.17.4 where it converges.
 */
export function betaShare(x: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  if (x > (a + 1) / (a + b + 2)) return 1 - betaShare(1 - x, b, a);
  const front =
    Math.exp(a * Math.log(x) + b * Math.log1p(-x) + logGamma(a + b) - logGamma(a) - logGamma(b)) /
    a;
  const tiny = 1e-300;
  const safe = (value: number): number => (Math.abs(value) < tiny ? tiny : value);
  let c = 1;
  let d = 1 / safe(1 - ((a + b) * x) / (a + 1));
  let fraction = d;
  for (let m = 1; m < 1000; m += 1) {
    const before = fraction;
    for (const term of [
      (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m)),
      (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1)),
    ]) {
      d = 1 / safe(1 + term * d);
      c = safe(1 + term / c);
      fraction *= c * d;
    }
    if (Math.abs(fraction / before - 1) < 1e-15) break;
  }
  return front * fraction;
}
