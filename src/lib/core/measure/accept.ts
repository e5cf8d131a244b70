/** What a step accepts as a good reading, turned from its written form into bounds in SI units. */
import { elementOhms } from './elements.ts';
import { bad, good, type Outcome } from './outcome.ts';
import {
  asQuantity,
  expectQuantity,
  showNumber,
  type Dimension,
  type QuantityLike,
} from './quantity.ts';

/** `least` and `most` include the bound, `above` and `below` do not. */
export interface AcceptBounds {
  readonly least?: QuantityLike | undefined;
  readonly most?: QuantityLike | undefined;
  readonly above?: QuantityLike | undefined;
  readonly below?: QuantityLike | undefined;
}
export interface AcceptOpen {
  readonly open: true;
}
export interface AcceptElement {
  readonly element: { readonly volts: QuantityLike; readonly watts: QuantityLike };
}
export interface AcceptPairs {
  readonly pairs: Readonly<Record<string, AcceptOne>>;
}
export type AcceptOne = AcceptBounds | AcceptOpen | AcceptElement;
export type Accept = AcceptOne | AcceptPairs;

/** Bounds in SI; a missing side is unlimited. `says` is the limit in words: `at most 1 ohm`. */
export interface Band {
  readonly dimension: Dimension;
  readonly least: number | null;
  readonly most: number | null;
  /** The bound itself is not accepted. */
  readonly strict: boolean;
  readonly open: boolean;
  readonly says: string;
}

/** An open contact: OL, or more than this (common practice, no source). */
export const openOhms = 1e6;

export function acceptBand(accept: AcceptOne): Outcome<Band> {
  if ('open' in accept) {
    return good({
      dimension: 'resistance',
      least: openOhms,
      most: null,
      strict: true,
      open: true,
      says: 'open: OL or more than 1 Mohm',
    });
  }
  if ('element' in accept) return elementBand(accept.element);
  return boundsBand(accept);
}

function elementBand(element: AcceptElement['element']): Outcome<Band> {
  const volts = expectQuantity('The element’s voltage', element.volts, 'voltage');
  if (!volts.ok) return volts;
  const watts = expectQuantity('The element’s power', element.watts, 'power');
  if (!watts.ok) return watts;
  const ohms = elementOhms(volts.value.si, watts.value.si);
  if (!ohms.ok) return ohms;
  const { least, most } = ohms.value;
  const upper = most === null ? 'up' : `to ${showNumber(most, 4)} ohm`;
  const says = `${showNumber(least, 4)} ohm ${upper} (${watts.value.text} at ${volts.value.text})`;
  return good({ dimension: 'resistance', least, most, strict: false, open: false, says });
}

function boundsBand(bounds: AcceptBounds): Outcome<Band> {
  const lower = bounds.least ?? bounds.above;
  const upper = bounds.most ?? bounds.below;
  const words: string[] = [];
  let dimension: Dimension | null = null;
  const sides: { least: number | null; most: number | null } = { least: null, most: null };
  const rows = [
    ['least', lower, bounds.least === undefined ? 'more than' : 'at least'],
    ['most', upper, bounds.most === undefined ? 'below' : 'at most'],
  ] as const;
  for (const [side, like, phrase] of rows) {
    if (like === undefined) continue;
    const read = asQuantity(like);
    if (!read.ok) return bad(read.problem.code, `The limit: ${read.problem.says}`);
    if (dimension !== null && read.quantity.dimension !== dimension) {
      return bad('limit-mixed', 'The two limits of this reading are not of one kind of quantity.');
    }
    dimension = read.quantity.dimension;
    sides[side] = read.quantity.si;
    words.push(`${phrase} ${read.quantity.text}`);
  }
  if (dimension === null) {
    return bad('no-limit', 'No limit is given for this reading: least, most, open or element.');
  }
  if (sides.least !== null && sides.most !== null && sides.least > sides.most) {
    return bad('limits-crossed', `The limits exclude each other: ${words.join(' and ')}.`);
  }
  const strict = bounds.above !== undefined || bounds.below !== undefined;
  return good({ dimension, ...sides, strict, open: false, says: words.join(', ') });
}
