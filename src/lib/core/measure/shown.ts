/** What the display showed, read from what was typed, with the interval that the instrument leaves. */
import type { ReadingInput } from './verdict.ts';
import { accuracyFor } from './meter-ranges.ts';
import { asWritten, bad, good, type Outcome } from './outcome.ts';
import {
  asQuantity,
  expectQuantity,
  fromSi,
  quantityOf,
  showNumber,
  siSpan,
  wrongDimension,
  type Dimension,
  type Quantity,
} from './quantity.ts';
import { accuracyBand } from './uncertainty.ts';
import { dimensions, findUnit, symbolsOf } from './units.ts';

export interface Interval {
  readonly unit: string;
  readonly shown: number;
  readonly net: number;
  readonly low: number;
  readonly high: number;
  /** Half of the width that the instrument (and a moving display) leaves, before anything is cut at zero. */
  readonly half: number;
  readonly leadText: string | null;
  /** Whether the resolution was given, taken from the last digit written, or no accuracy is known. */
  readonly accuracy: 'given' | 'asWritten' | 'unknown';
}

export type Shown =
  | { readonly kind: 'number'; readonly interval: Interval }
  | { readonly kind: 'overload'; readonly unit: string; readonly range: number | null }
  | { readonly kind: 'unstable'; readonly interval: Interval | null }
  | { readonly kind: 'notTaken'; readonly why: string };

const overloadForm = /^[o0]\.?[lf]\.?$/iu;
const unstableForm = /^unstable(?:\s+([\d.]+)\s*(?:-|–|to)\s*([\d.]+))?$/iu;
/** Quantities that no instrument shows below zero. */
export const neverNegative: ReadonlySet<Dimension> = new Set<Dimension>([
  'resistance',
  'conductance',
  'capacitance',
  'inductance',
  'frequency',
  'length',
  'area',
  'volume',
  'mass',
  'time',
  'irradiance',
]);

export function readShown(input: ReadingInput, wanted: Dimension): Outcome<Shown> {
  const text = asWritten(input.value).trim();
  if (text === '') {
    return bad(
      'empty',
      `Nothing was entered; this asks for ${examples(wanted)}, or OL, unstable, or not taken with the reason.`,
    );
  }
  if (/^not ?taken$/iu.test(text)) {
    const why = typeof input.why === 'string' ? input.why.trim() : '';
    if (why === '') return bad('why-missing', 'Say why the reading was not taken.');
    return good({ kind: 'notTaken', why });
  }
  const unstable = unstableForm.exec(text);
  if (overloadForm.test(text)) return readOverload(input, wanted);
  if (unstable !== null) return readUnstable(input, wanted, unstable[1], unstable[2]);
  const over = /^>\s*(\S.*)$/u.exec(text)?.[1];
  if (over !== undefined) return readMoreThan(over, input, wanted);
  if (/^[+-]?(?:infinity|inf|∞)$/iu.test(text) || text === 'NaN') {
    return bad(
      'not-finite',
      `“${text}” is not a reading; if the display shows overload, enter OL.`,
    );
  }
  const quantity = readOne(text, input.unit, wanted);
  if (!quantity.ok) return quantity;
  const interval = around(quantity.value, quantity.value, input);
  return interval.ok ? good({ kind: 'number', interval: interval.value }) : interval;
}

function readOverload(input: ReadingInput, wanted: Dimension): Outcome<Shown> {
  const unit = typeof input.unit === 'string' ? input.unit : dimensions[wanted].si;
  const known = findUnit(unit);
  if (known === null || known.dimension !== wanted) {
    return bad('wrong-dimension', `OL in “${unit}”: this asks for ${examples(wanted)}.`);
  }
  if (input.range === undefined) return good({ kind: 'overload', unit: known.symbol, range: null });
  const range = expectQuantity('The range', input.range, wanted);
  if (!range.ok) return range;
  return good({
    kind: 'overload',
    unit: known.symbol,
    range: fromSi(range.value.si, known.symbol, wanted),
  });
}

/** `>200`: insulation testers name the top of their range instead of OL. */
function readMoreThan(text: string, input: ReadingInput, wanted: Dimension): Outcome<Shown> {
  const top = readOne(text, input.unit, wanted);
  if (!top.ok) return top;
  return good({ kind: 'overload', unit: top.value.unit, range: top.value.value });
}

function readUnstable(
  input: ReadingInput,
  wanted: Dimension,
  low: string | undefined,
  high: string | undefined,
): Outcome<Shown> {
  if (low === undefined || high === undefined) return good({ kind: 'unstable', interval: null });
  const first = readOne(low, input.unit, wanted);
  if (!first.ok) return first;
  const second = readOne(high, input.unit, wanted);
  if (!second.ok) return second;
  const [least, most] =
    first.value.si <= second.value.si ? [first.value, second.value] : [second.value, first.value];
  const interval = around(least, most, input);
  return interval.ok ? good({ kind: 'unstable', interval: interval.value }) : interval;
}

function readOne(text: string, unit: string | undefined, wanted: Dimension): Outcome<Quantity> {
  const alone = /^[+\u2212-]?[\d.]+(?:e[+-]?\d+)?$/iu.test(text);
  if (alone && (typeof unit !== 'string' || unit.trim() === '')) {
    return bad(
      'no-unit',
      `${text} has no unit; choose it first: ${symbolsOf(wanted).slice(0, 5).join(', ')}.`,
    );
  }
  const read = alone ? quantityOf(text, unit ?? '') : asQuantity(text);
  if (!read.ok) return read;
  const quantity = read.quantity;
  if (quantity.dimension !== wanted) {
    return bad('wrong-dimension', wrongDimension(quantity, wanted));
  }
  if (quantity.value < 0 && neverNegative.has(wanted)) {
    const advice =
      wanted === 'resistance'
        ? ' A minus sign on ohms means voltage in the circuit or a wrong zero: prove dead, short the leads, read again.'
        : '';
    return bad(
      'negative',
      `${quantity.text}: ${dimensions[wanted].called} is never below zero.${advice}`,
    );
  }
  return good(quantity);
}

function around(low: Quantity, high: Quantity, input: ReadingInput): Outcome<Interval> {
  const lead = leadIn(low, input);
  if (!lead.ok) return lead;
  const card = accuracyFor(input.instrument ?? {}, high);
  if (!card.ok) return card;
  const accuracy = card.value ?? { percent: 0, counts: 0 };
  const known = card.value?.one ?? null;
  const count = resolutionIn(low, input, known);
  if (!count.ok) return count;
  const width = (of: Quantity) => accuracyBand(of.value, accuracy, count.value);
  const from = low.value - lead.value - width(low);
  const to = high.value - lead.value + width(high);
  if (lead.value > 0 && to < 0) {
    return bad(
      'lead-too-high',
      'The leads alone show more than the reading: short them and measure them again.',
    );
  }
  return good({
    unit: low.unit,
    shown: (low.value + high.value) / 2,
    net: (low.value + high.value) / 2 - lead.value,
    low: neverNegative.has(low.dimension) ? Math.max(0, from) : from,
    high: to,
    half: (to - from) / 2,
    leadText: lead.value === 0 ? null : `${showNumber(lead.value)} ${low.unit}`,
    accuracy:
      card.value === null
        ? 'unknown'
        : input.resolution === undefined && known === null
          ? 'asWritten'
          : 'given',
  });
}

/**
 * The leads in the unit of the reading. Read on the same range a moment before, their offset is common to
 * both figures, so the full band of the reading covers the difference too.
 */
function leadIn(shown: Quantity, input: ReadingInput): Outcome<number> {
  if (input.lead === undefined) return good(0);
  if (shown.dimension !== 'resistance') {
    return bad('lead-not-ohms', 'Lead resistance is only taken off a resistance.');
  }
  const lead = expectQuantity('The lead resistance', input.lead, 'resistance');
  if (!lead.ok) return lead;
  if (lead.value.si < 0) return bad('negative', 'The lead resistance is never below zero.');
  return good(fromSi(lead.value.si, shown.unit, 'resistance') ?? 0);
}

/** `known` is one count of the range on the card; a coarser figure was read on a coarser range. */
function resolutionIn(shown: Quantity, input: ReadingInput, known: number | null): Outcome<number> {
  const given = input.resolution;
  if (given === undefined) return good(Math.max(known ?? 0, lastDigit(shown.number)));
  if (typeof given === 'number') {
    return given > 0 && Number.isFinite(given)
      ? good(given)
      : bad('bad-resolution', 'The resolution must be more than zero, such as 0.01.');
  }
  const read = expectQuantity('The resolution', given, shown.dimension);
  if (!read.ok) return read;
  if (read.value.value <= 0) {
    return bad('bad-resolution', 'The resolution must be more than zero, such as 0.01 ohm.');
  }
  return good(siSpan(read.value.value, read.value.unit) / siSpan(1, shown.unit));
}

/** What the last written digit is worth: 0.01 for `1.02`, 1 for `28`. */
function lastDigit(number: string): number {
  const [digits = '', exponent = '0'] = number.toLowerCase().split('e');
  const decimals = digits.split('.')[1]?.length ?? 0;
  return Number(`1e${Number(exponent) - decimals}`);
}

function examples(wanted: Dimension): string {
  return `${dimensions[wanted].called} (${symbolsOf(wanted).slice(0, 4).join(', ')})`;
}
