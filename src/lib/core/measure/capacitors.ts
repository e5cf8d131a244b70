/** Capacitors as parts: is the value inside the tolerance on the label, and does a replacement fit. */
import { good, outOfRange, type Outcome } from './outcome.ts';
import type { Problem } from './outcome.ts';
import { showNumber } from './quantity.ts';

/** Run capacitors are often marked ±6 % (common practice; the label decides). */
export const usualTolerance = 6;

/** Least and most in the unit of `rated`; `percent` below and above, as on the label. */
export function capacitorBand(
  rated: number,
  percentDown = usualTolerance,
  percentUp = percentDown,
): Outcome<{ least: number; most: number }> {
  const problem =
    outOfRange('The rated capacitance', rated, '', { above: 0 }) ??
    outOfRange('The tolerance', percentDown, '%', { least: 0, most: 100 }) ??
    outOfRange('The tolerance', percentUp, '%', { least: 0, most: 200 });
  if (problem !== null) return { ok: false, problem };
  return good({ least: rated * (1 - percentDown / 100), most: rated * (1 + percentUp / 100) });
}

/** What stands against a replacement: the same capacitance, the same volts or more. */
export function replacementProblems(
  old: { farad: number; volts: number },
  replacement: { farad: number; volts: number },
): Problem[] {
  const problems: Problem[] = [];
  if (replacement.volts < old.volts) {
    problems.push({
      code: 'volts-lower',
      says: `The replacement is for ${showNumber(replacement.volts)} V; the old one was for ${showNumber(old.volts)} V. Never lower.`,
    });
  }
  if (Math.abs(replacement.farad - old.farad) > old.farad * 1e-6) {
    problems.push({
      code: 'value-differs',
      says: `The replacement has ${showNumber(replacement.farad * 1e6)} uF; the old one ${showNumber(old.farad * 1e6)} uF.`,
    });
  }
  return problems;
}
