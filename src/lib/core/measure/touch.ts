/**
 * When a hot surface may be touched. ISO 13732-1 gives burn thresholds, not limits: below them no burn
 * is expected for a contact of that length, on any material. Short contacts are left out on purpose:
 * published copies of those figures disagree.
 */
import { outOfRange, good, type Outcome } from './outcome.ts';

const thresholds: readonly { minutes: number; celsius: number }[] = [
  { minutes: 1, celsius: 51 },
  { minutes: 10, celsius: 48 },
  { minutes: 480, celsius: 43 },
];

export const touchSource = 'ISO 13732-1, burn thresholds for long contact, any material';

/**
 * The threshold in °C for a contact of `minutes`; the next longer row of the table is taken, so that
 * the answer errs to the cool side. Up to 8 h, and 8 h for anything longer.
 */
export function burnThreshold(minutes: number): Outcome<number> {
  const problem = outOfRange('The contact time', minutes, 'min', { above: 0 });
  if (problem !== null) return { ok: false, problem };
  const row =
    thresholds.find((each) => minutes <= each.minutes) ?? thresholds[thresholds.length - 1];
  return good(row?.celsius ?? 43);
}
