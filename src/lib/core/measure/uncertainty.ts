/**
 * Uncertainty of a reading and what it says about a limit.
 *
 * An instrument's ±(percent + counts) is a limit of error: the interval is the reading ± that. For a
 * probability it is taken as rectangular, u = a/√3 (GUM, JCGM 100:2008, 4.3.7), and the value as normal
 * around the reading (JCGM 106:2012, 7.1 and following).
 */
import type { Accuracy } from './instrument.ts';

/** ±(percent % of the shown value + counts × resolution), in the unit of the shown value. */
export function accuracyBand(shown: number, accuracy: Accuracy, resolution: number): number {
  return (Math.abs(shown) * accuracy.percent) / 100 + accuracy.counts * resolution;
}

export function standardUncertainty(halfWidth: number): number {
  return halfWidth / Math.sqrt(3);
}

export interface Limits {
  readonly least?: number | undefined;
  readonly most?: number | undefined;
}

/**
 * The probability that the true value lies inside the limits, when it is normal around `mean` with
 * standard uncertainty `u` (JCGM 106:2012, 7.3 to 7.5). With `u` = 0 it is 0 or 1. Both answers are
 * summed from tails, so that a small risk keeps its digits.
 */
export function conformance(
  mean: number,
  u: number,
  limits: Limits,
): { inside: number; outside: number } {
  const { least = -Infinity, most = Infinity } = limits;
  if (u === 0) {
    const inside = mean >= least && mean <= most ? 1 : 0;
    return { inside, outside: 1 - inside };
  }
  const low = (least - mean) / u;
  const high = (most - mean) / u;
  const inside = low > 0 ? normalCdf(-low) - normalCdf(-high) : normalCdf(high) - normalCdf(low);
  return { inside: Math.max(0, inside), outside: Math.min(1, normalCdf(low) + normalCdf(-high)) };
}

/**
 * A bare number with its limit of error against limits in the same unit: inside with the whole interval,
 * outside with the whole interval, or cannot tell.
 */
export function judgeNumber(
  value: number,
  halfWidth: number,
  limits: Limits,
): { verdict: 'pass' | 'fail' | 'cannotTell'; low: number; high: number; probability: number } {
  const { least = -Infinity, most = Infinity } = limits;
  const [low, high] = [value - halfWidth, value + halfWidth];
  const verdict =
    low >= least && high <= most ? 'pass' : high < least || low > most ? 'fail' : 'cannotTell';
  const { inside } = conformance(value, standardUncertainty(halfWidth), limits);
  return { verdict, low, high, probability: inside };
}

/**
 * Guard band for a limit (ILAC-G8:09/2019; ISO 14253-1): the acceptance limit lies `factor` × U inside
 * the limit, U being the expanded uncertainty with k = 2. `worstRisk` is the probability that an item
 * accepted at the very acceptance limit does not conform.
 */
export function guardBand(expanded: number, factor: number): { width: number; worstRisk: number } {
  return { width: factor * expanded, worstRisk: normalCdf(-2 * factor) };
}

/** Standard normal distribution function, absolute error under 1e-15, small tails to 1e-12 relative. */
export function normalCdf(z: number): number {
  if (Number.isNaN(z)) return NaN;
  const size = Math.abs(z);
  const lowerTail = size < 2.5 ? 0.5 - centre(size) : tail(size);
  return z <= 0 ? lowerTail : 1 - lowerTail;
}

/** Area between 0 and z as the series φ(z)·(z + z³/3 + z⁵/15 + …) (Abramowitz and Stegun 26.2.11). */
function centre(z: number): number {
  let term = z;
  let sum = z;
  for (let n = 3; term > sum * 1e-17; n += 2) {
    term *= (z * z) / n;
    sum += term;
  }
  return density(z) * sum;
}

/** Area beyond z as a continued fraction (Abramowitz and Stegun 26.2.14), from the inside out. */
function tail(z: number): number {
  if (z > 38.5) return 0;
  let fraction = z;
  for (let n = 120; n >= 1; n -= 1) fraction = z + n / fraction;
  return density(z) / fraction;
}

function density(z: number): number {
  return Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
}
