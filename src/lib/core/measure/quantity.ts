/**
 * A quantity: a number with a unit, kept exactly as written beside its SI value.
 *
 * The text is the truth and the number is a reading of it: records and evidence carry the decimal
 * string, so nothing is lost to binary fractions.
 */
import {
  dimensions,
  findUnit,
  suggestUnit,
  symbolsOf,
  type Dimension,
  type Unit,
} from './units.ts';
import { bad, good, type Outcome, type Problem } from './outcome.ts';

export type { Dimension } from './units.ts';

export interface Quantity {
  /** As written, without outer spaces: `470 µF`. */
  readonly text: string;
  /** The number as written, digits untouched: `470`. */
  readonly number: string;
  readonly value: number;
  /** The unit in its one stored spelling: `uF`. */
  readonly unit: string;
  readonly dimension: Dimension;
  /** In the SI unit of the dimension (temperatures in °C). */
  readonly si: number;
}

export type QuantityResult =
  | { readonly ok: true; readonly quantity: Quantity }
  | { readonly ok: false; readonly problem: Problem };

/** A quantity already read, its text, or a number beside its unit. */
export type QuantityLike =
  Quantity | string | { readonly value: number | string; readonly unit: string };

const longest = 64;
// A little below the exact -273.15, so that -459.67 °F is not refused for its last binary digit.
const absoluteZero = -273.150001;
const numberForm = /^[+\u2212-]?(?:\d+(?:\.\d+)?|\.\d+)(?:[eE][+-]?\d{1,3})?/u;

/**
 * Reads `30 V`, `470 uF`, `48 °C`, `12kV`. The number uses a point and no thousands marks.
 * Problems: `empty`, `too-long`, `no-number`, `comma`, `no-unit`, `unknown-unit`, `not-finite`,
 * `below-absolute-zero`.
 */
export function parseQuantity(text: string): QuantityResult {
  const known = readBefore.get(text);
  if (known !== undefined) return known;
  const result = parsed(text);
  if (result.ok) {
    if (readBefore.size >= remembered) readBefore.clear();
    readBefore.set(text, result);
  }
  return result;
}

/** What was read already: the limits of a checklist are asked about at every reading. Bounded. */
const readBefore = new Map<string, QuantityResult>();
const remembered = 1000;

function parsed(text: string): QuantityResult {
  if (typeof text !== 'string') {
    return bad('empty', 'A quantity must be text: a number and a unit, such as 30 V.');
  }
  const written = text.trim();
  if (written === '') {
    return bad('empty', 'Nothing is written here; write a number and a unit, such as 30 V.');
  }
  if (written.length > longest) {
    return bad('too-long', `A quantity has at most ${longest} characters; this has more.`);
  }
  const number = numberForm.exec(written)?.[0];
  if (number === undefined) {
    return bad('no-number', `“${written}” does not start with a number; write it like 30 V.`);
  }
  const rest = written.slice(number.length);
  if (/^\s*[,\u2019']\s*\d/u.test(rest)) {
    return bad(
      'comma',
      `“${written}” has a comma or mark inside the number; write 1000 or 1.5, with a point.`,
    );
  }
  if (/^\.|^\s*\d(?!\/)/u.test(rest)) {
    return bad('no-number', `“${written}” holds more than one number; write one, like 30 V.`);
  }
  return withUnit(written, number, rest);
}

/** The number and the unit of a reading, given apart as they are in a record. */
export function quantityOf(value: number | string, unit: string): QuantityResult {
  if (typeof value === 'number' && !Number.isFinite(value)) {
    return bad('not-finite', `${String(value)} ${unit} is not an ordinary number.`);
  }
  return parseQuantity(`${String(value)} ${unit}`);
}

/** Any accepted form of a quantity, read. */
export function asQuantity(like: QuantityLike): QuantityResult {
  if (typeof like === 'string') return parseQuantity(like);
  if (typeof like !== 'object' || like === null) {
    return bad('empty', 'A number and a unit are needed here, such as 30 V.');
  }
  if ('si' in like) return { ok: true, quantity: like };
  return quantityOf(like.value, like.unit);
}

/** The quantity, or the problem that it is not of the dimension asked for. */
export function expectQuantity(
  name: string,
  like: QuantityLike,
  dimension: Dimension,
): Outcome<Quantity> {
  const read = asQuantity(like);
  if (!read.ok && read.problem.code === 'no-unit') {
    const some = symbolsOf(dimension).slice(0, 4).join(', ');
    return bad('no-unit', `${name}: write the unit beside the number (${some}).`);
  }
  if (!read.ok) return bad(read.problem.code, `${name}: ${read.problem.says}`);
  if (read.quantity.dimension !== dimension) {
    return bad('wrong-dimension', `${name}: ${wrongDimension(read.quantity, dimension)}`);
  }
  return good(read.quantity);
}

/** The sentence for a quantity that is not what was asked for. */
export function wrongDimension(quantity: Quantity, wanted: Dimension): string {
  const examples = symbolsOf(wanted).slice(0, 4).join(', ');
  const is = dimensions[quantity.dimension].called;
  return `${quantity.text} is ${is}; this asks for ${dimensions[wanted].called} (${examples}).`;
}

/** Converts an SI value to a unit of the same dimension, or null when the unit is not of it. */
export function fromSi(si: number, unit: string, dimension: Dimension): number | null {
  const found = findUnit(unit);
  if (found === null || found.dimension !== dimension) return null;
  return scaleByTen(si / found.factor + found.offset, -found.power);
}

/** A value in a unit, in SI; NaN when the unit is not known. */
export function siOf(value: number, unit: string): number {
  const found = findUnit(unit);
  return found === null ? NaN : toSi(String(value), found);
}

/** A difference in a unit, in SI: the offset of a temperature scale does not count. */
export function siSpan(width: number, unit: string): number {
  const found = findUnit(unit);
  return found === null ? NaN : scaleByTen(width * found.factor, found.power);
}

/** `470 uF (0.00047 farad)`: what was written, then the SI value where it differs. */
export function withSi(quantity: Quantity): string {
  const si = dimensions[quantity.dimension].si;
  if (quantity.unit === si || si === '1') return quantity.text;
  return `${quantity.text} (${showNumber(quantity.si)} ${si})`;
}

/** A number for a sentence: `digits` significant digits, no exponent between 1e-6 and 1e9. */
export function showNumber(value: number, digits = 5): string {
  if (!Number.isFinite(value)) return value > 0 ? 'OL' : String(value);
  const rounded = Number(value.toPrecision(digits));
  const size = Math.abs(rounded);
  if (size !== 0 && (size < 1e-6 || size >= 1e9)) return String(rounded);
  return rounded.toFixed(12).replace(/\.?0+$/u, '');
}

function withUnit(written: string, number: string, rest: string): QuantityResult {
  const unitText = rest.trim();
  if (unitText === '') {
    return bad('no-unit', `“${written}” has no unit; write the unit too, such as ${number} V.`);
  }
  const unit = findUnit(unitText);
  if (unit === null) {
    const hint = suggestUnit(unitText);
    const says = `“${unitText}” in “${written}” is not a unit known here`;
    return bad(
      'unknown-unit',
      hint === null
        ? `${says}; use a unit such as V, ohm, uF, °C or min.`
        : `${says}; did you mean ${hint}?`,
    );
  }
  const plainNumber = number.replace('\u2212', '-');
  const value = Number(plainNumber) + 0;
  const si = toSi(plainNumber, unit);
  if (!Number.isFinite(value) || !Number.isFinite(si)) {
    return bad('not-finite', `“${written}” is too large to be a measured value.`);
  }
  if (unit.dimension === 'temperature' && si < absoluteZero) {
    return bad('below-absolute-zero', `“${written}” is colder than anything can be.`);
  }
  const { symbol, dimension } = unit;
  return { ok: true, quantity: { text: written, number, value, unit: symbol, dimension, si } };
}

function toSi(number: string, unit: Unit): number {
  if (unit.offset === 0 && unit.factor === 1) {
    return shiftText(number, unit.power);
  }
  return scaleByTen((Number(number) - unit.offset) * unit.factor, unit.power) + 0;
}

/** A decimal text times a power of ten, rounded once: 0.1 m is 0.1, 470 u is 0.00047. */
function shiftText(number: string, power: number): number {
  const [digits = '', exponent = '0'] = number.toLowerCase().split('e');
  // Adding zero turns -0 into 0, which JSON and people cannot tell apart anyway.
  return Number(`${digits}e${Number(exponent) + power}`) + 0;
}

function scaleByTen(value: number, power: number): number {
  if (power === 0 || value === 0) return value;
  return shiftText(String(value), power);
}
