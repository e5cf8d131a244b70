/**
 * The ranges of a meter as its data sheet gives them: up to what, what one count is worth, and the
 * accuracy there, ±(percent of the reading + counts × one count).
 */
import { accuracyOf, type Accuracy, type InstrumentCard } from './instrument.ts';
import { bad, good, type Outcome } from './outcome.ts';
import { parseQuantity, siSpan, type Quantity } from './quantity.ts';

export interface MeterRange {
  /** Top of the range: `60 ohm`. */
  readonly upTo: string;
  /** What one count is worth: `0.01 ohm`. */
  readonly one: string;
  readonly percent: string;
  readonly counts: number;
}

export interface RangeAccuracy extends Accuracy {
  /** What one count is worth in the unit of the reading; null when no range of the card fits. */
  readonly one: number | null;
}

/** Why this range cannot be used, or null. */
export function rangeProblem(range: MeterRange): string | null {
  const [top, one] = [parseQuantity(range.upTo), parseQuantity(range.one)];
  if (!top.ok) return `The top of a range: ${top.problem.says}`;
  if (!one.ok) return `What one count is worth: ${one.problem.says}`;
  if (top.quantity.dimension !== one.quantity.dimension)
    return `${range.upTo} and ${range.one} are not of one kind.`;
  if (!(one.quantity.si > 0 && top.quantity.si > one.quantity.si))
    return `One count (${range.one}) has to be above zero and below the top of the range (${range.upTo}).`;
  const accuracy = accuracyOf(range);
  return accuracy.ok ? null : accuracy.problem.says;
}

/**
 * The accuracy for this reading: of the smallest range of its kind that reaches it, else of the card as a
 * whole; null when the card gives none.
 */
export function accuracyFor(
  card: Pick<InstrumentCard, 'percent' | 'counts' | 'ranges'>,
  reading: Quantity,
): Outcome<RangeAccuracy | null> {
  let best: { readonly range: MeterRange; readonly top: number; readonly one: number } | null =
    null;
  for (const range of card.ranges ?? []) {
    const problem = rangeProblem(range);
    if (problem !== null) return bad('bad-accuracy', problem);
    const [upTo, one] = [parseQuantity(range.upTo), parseQuantity(range.one)];
    if (!upTo.ok || !one.ok || upTo.quantity.dimension !== reading.dimension) continue;
    const top = upTo.quantity.si;
    if (top < Math.abs(reading.si) || (best !== null && best.top <= top)) continue;
    const count = siSpan(one.quantity.value, one.quantity.unit) / siSpan(1, reading.unit);
    best = { range, top, one: count };
  }
  const read = accuracyOf(best?.range ?? card);
  if (!read.ok) return read;
  return good(read.value === null ? null : { ...read.value, one: best?.one ?? null });
}
