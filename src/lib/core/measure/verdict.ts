/**
 * A reading against its limit: pass, fail, or cannot tell when the limit lies inside the interval that
 * the instrument leaves open (guarded acceptance with the full interval: ISO 14253-1, ILAC-G8:09/2019).
 */
import { acceptBand, type Accept, type AcceptOne, type Band } from './accept.ts';
import type { InstrumentCard } from './instrument.ts';
import type { LimitOrigin, QuantityName } from '../checklist/model.ts';
import { fromSi, showNumber, siOf, siSpan, type Dimension, type QuantityLike } from './quantity.ts';
import { neverNegative, readShown, type Shown } from './shown.ts';
import { askAboutSlip, type Question } from './slips.ts';
import { conformance, standardUncertainty } from './uncertainty.ts';

export interface ReadingInput {
  /** As the display shows it: `1.02`, `OL`, `>200`, `unstable`, `unstable 3-9`, or `not taken`. */
  readonly value: string | number;
  readonly unit?: string | undefined;
  /** The kind of quantity that the step asks for; taken from the limit when left out. */
  readonly quantity?: QuantityName | Dimension | undefined;
  readonly accept: AcceptOne;
  readonly instrument?: Pick<InstrumentCard, 'percent' | 'counts' | 'ranges'> | undefined;
  /** What one count of the range is worth; taken from the last digit written when left out. */
  readonly resolution?: QuantityLike | number | undefined;
  /** The top of the range, so that OL means something. */
  readonly range?: QuantityLike | undefined;
  /** Resistance of the leads, probes shorted, on the same range; subtracted. */
  readonly lead?: QuantityLike | undefined;
  /** Why a reading was not taken. */
  readonly why?: string | undefined;
  readonly origin?: LimitOrigin | undefined;
}

export type VerdictName = 'pass' | 'fail' | 'cannotTell' | 'notTaken' | 'unusable';

export interface ReadingVerdict {
  readonly verdict: VerdictName;
  /** Why, as a stable code: `inside`, `outside`, `straddles`, `overload`, `unstable`, … */
  readonly code: string;
  readonly says: string;
  /** The unit of the figures below. */
  readonly unit: string | null;
  readonly shown: number | null;
  readonly net: number | null;
  /** The interval in which the value lies; null where it is unlimited or unknown. */
  readonly low: number | null;
  readonly high: number | null;
  /** The limit in the same unit, and in words. */
  readonly least: number | null;
  readonly most: number | null;
  readonly limit: string;
  readonly origin: LimitOrigin | null;
  /** Probability that the value lies inside the limit; null when nothing can be said. */
  readonly probability: number | null;
  /** A question to the person before the verdict counts, such as a thousandfold slip. */
  readonly ask: Question | null;
}

/** The dimension behind the name that a step gives its quantity. */
export function dimensionOf(name: QuantityName | Dimension): Dimension {
  switch (name) {
    case 'insulation':
      return 'resistance';
    case 'leakage':
      return 'current';
    case 'concentration':
      return 'ratio';
    default:
      return name;
  }
}

/** Judges one reading. Never throws; an input that cannot be used is the verdict `unusable`. */
export function judgeReading(input: ReadingInput): ReadingVerdict {
  const band = acceptBand(input.accept);
  if (!band.ok) return unusable(band.problem.code, band.problem.says, input, null);
  const asked = input.quantity === undefined ? band.value.dimension : dimensionOf(input.quantity);
  const shown = readShown(input, asked);
  if (!shown.ok) return unusable(shown.problem.code, shown.problem.says, input, band.value);
  if (band.value.dimension !== asked) {
    return unusable(
      'limit-wrong-kind',
      'The limit is not of the kind of quantity that the step reads.',
      input,
      band.value,
    );
  }
  const value = shown.value;
  switch (value.kind) {
    case 'notTaken':
      return plainVerdict('notTaken', 'not-taken', `Not taken: ${value.why}`, input, band.value);
    case 'unstable':
      return value.interval === null
        ? plainVerdict(
            'cannotTell',
            'unstable',
            'The reading does not settle: press the probes on clean metal and read again, or note the lowest and the highest figure.',
            input,
            band.value,
          )
        : judgeInterval(value.interval, input, band.value, true);
    case 'overload':
      return judgeOverload(value, input, band.value);
    case 'number':
      return judgeInterval(value.interval, input, band.value, false);
  }
}

function judgeInterval(
  interval: Extract<Shown, { kind: 'number' }>['interval'],
  input: ReadingInput,
  band: Band,
  unstable: boolean,
): ReadingVerdict {
  const { unit, net, low, high } = interval;
  const signed = (band.least ?? 0) < 0 || (band.most ?? 0) < 0;
  // A limit on volts or amps is a limit on their size: -30 V is not below 2 V.
  const bySize = (band.dimension === 'voltage' || band.dimension === 'current') && !signed;
  const [from, to] = bySize ? sizeOf(low, high) : [low, high];
  const [lowSi, highSi] = [siOf(from, unit), siOf(to, unit)];
  const inside = holds(band, lowSi, highSi);
  const outside = !inside && misses(band, lowSi, highSi);
  const verdict = inside ? 'pass' : outside ? 'fail' : 'cannotTell';
  // At least 0 ohm excludes nothing, so no probability is lost below it.
  const nothingBelow = neverNegative.has(band.dimension) && (band.least ?? 0) <= 0;
  const middle = siOf(bySize ? Math.abs(net) : net, unit);
  const u = standardUncertainty(siSpan(interval.half, unit));
  const { inside: probability } = conformance(middle, u, {
    least: nothingBelow ? undefined : (band.least ?? undefined),
    most: band.most ?? undefined,
  });
  const code = inside ? 'inside' : outside ? 'outside' : unstable ? 'unstable' : 'straddles';
  return {
    ...blank(input, band, unit),
    verdict,
    code,
    says: sentence(verdict, interval, band, unstable, input.origin),
    shown: interval.shown,
    net,
    low: from,
    high: to,
    probability: unstable ? null : probability,
    ask: outside ? askAboutSlip(interval, band) : null,
  };
}

function judgeOverload(
  shown: Extract<Shown, { kind: 'overload' }>,
  input: ReadingInput,
  band: Band,
): ReadingVerdict {
  const { unit, range } = shown;
  const rangeSi = range === null ? null : siOf(range, unit);
  const base = { ...blank(input, band, unit), low: range };
  if (band.most !== null && (rangeSi === null || rangeSi >= band.most)) {
    const says = `OL: more than the meter can show, so outside the limit (${limitWords(band, input.origin)}).`;
    return { ...base, verdict: 'fail', code: 'overload', says, probability: 0 };
  }
  const beyond = band.least !== null && rangeSi !== null && rangeSi >= band.least;
  if (band.most === null && (beyond || (band.open && rangeSi === null))) {
    const says = `OL: more than the meter can show, inside the limit (${limitWords(band, input.origin)}).`;
    return { ...base, verdict: 'pass', code: 'overload', says, probability: null };
  }
  const above = range === null ? 'the top of the range' : `${showNumber(range)} ${unit}`;
  const says = `OL says only that it is above ${above}; the limit is ${limitWords(band, input.origin)}. Choose a higher range, or say which range it was.`;
  return { ...base, verdict: 'cannotTell', code: 'overload', says };
}

function sizeOf(low: number, high: number): [number, number] {
  if (low >= 0) return [low, high];
  if (high <= 0) return [-high, -low];
  return [0, Math.max(-low, high)];
}

function holds(band: Band, low: number, high: number): boolean {
  const strict = band.strict;
  const overLeast = band.least === null || (strict ? low > band.least : low >= band.least);
  const underMost = band.most === null || (strict ? high < band.most : high <= band.most);
  return overLeast && underMost;
}

function misses(band: Band, low: number, high: number): boolean {
  const strict = band.strict;
  const underLeast = band.least !== null && (strict ? high <= band.least : high < band.least);
  const overMost = band.most !== null && (strict ? low >= band.most : low > band.most);
  return underLeast || overMost;
}

function sentence(
  verdict: 'pass' | 'fail' | 'cannotTell',
  interval: Extract<Shown, { kind: 'number' }>['interval'],
  band: Band,
  unstable: boolean,
  origin: LimitOrigin | undefined,
): string {
  const { unit, net, low, high, leadText, accuracy } = interval;
  const less = leadText === null ? '' : ` after ${leadText} of lead`;
  const span = `${showNumber(low, 4)} to ${showNumber(high, 4)} ${unit}`;
  const what = unstable ? `Moving between ${span}` : `${showNumber(net)} ${unit}${less}`;
  const wide = unstable || low === high ? '' : ` (${span} with this meter)`;
  const limit = limitWords(band, origin);
  const hint =
    accuracy === 'unknown'
      ? ' The meter’s accuracy is not on its card, so no uncertainty is counted.'
      : accuracy === 'asWritten' && verdict === 'cannotTell'
        ? ' One count was taken as the last digit written: write the figure as the display shows it, or give the resolution.'
        : '';
  switch (verdict) {
    case 'pass':
      return `${what}${wide} is inside the limit: ${limit}.${hint}`;
    case 'fail':
      return `${what}${wide} is outside the limit: ${limit}.${hint}`;
    case 'cannotTell':
      return `Cannot tell: ${what}${wide} lies on both sides of the limit: ${limit}. Use a finer range or a better meter, or take the leads off the figure.${hint}`;
  }
}

function limitWords(band: Band, origin: LimitOrigin | undefined): string {
  const from = { code: 'code', maker: 'maker', house: 'house rule', default: 'our default' };
  return origin === undefined ? band.says : `${band.says}, from ${from[origin]}`;
}

function unusable(
  code: string,
  says: string,
  input: ReadingInput,
  band: Band | null,
): ReadingVerdict {
  return { ...blank(input, band, null), verdict: 'unusable', code, says };
}

function plainVerdict(
  verdict: VerdictName,
  code: string,
  says: string,
  input: ReadingInput,
  band: Band,
): ReadingVerdict {
  return {
    ...blank(input, band, typeof input.unit === 'string' ? input.unit : null),
    verdict,
    code,
    says,
  };
}

function blank(
  input: ReadingInput,
  band: Band | null,
  unit: string | null,
): Omit<ReadingVerdict, 'verdict' | 'code' | 'says'> {
  const inUnit = (si: number | null | undefined) =>
    si === null || si === undefined || unit === null || band === null
      ? null
      : fromSi(si, unit, band.dimension);
  return {
    unit,
    shown: null,
    net: null,
    low: null,
    high: null,
    least: inUnit(band?.least),
    most: inUnit(band?.most),
    limit: band?.says ?? '',
    origin: input.origin ?? null,
    probability: null,
    ask: null,
  };
}

export interface PairsVerdict {
  readonly verdict: VerdictName;
  readonly code: string;
  readonly says: string;
  readonly each: Readonly<Record<string, ReadingVerdict>>;
}

/**
 * Judges a set of readings between conductors. With `{pairs: …}` each pair has its own limit and all of
 * them are asked for; with any other form each pair given is held to that one limit.
 */
export function judgePairs(
  pairs: Readonly<Record<string, { value: string | number; unit?: string }>>,
  accept: Accept,
  common: Omit<ReadingInput, 'value' | 'unit' | 'accept'> = {},
): PairsVerdict {
  const wanted: [string, AcceptOne][] =
    'pairs' in accept
      ? Object.entries(accept.pairs)
      : Object.keys(pairs).map((pair) => [pair, accept]);
  const each: Record<string, ReadingVerdict> = {};
  for (const [pair, limit] of wanted) {
    const reading = pairs[pair] ?? pairs[pair.split('-').reverse().join('-')];
    each[pair] =
      reading === undefined
        ? unusable(
            'pair-missing',
            'This pair has no reading yet.',
            { value: '', accept: limit },
            null,
          )
        : judgeReading({ ...common, ...reading, accept: limit });
  }
  return sumUp(each);
}

const worstFirst: readonly VerdictName[] = ['fail', 'unusable', 'notTaken', 'cannotTell', 'pass'];

function sumUp(each: Record<string, ReadingVerdict>): PairsVerdict {
  const entries = Object.entries(each);
  if (entries.length === 0) {
    return { verdict: 'unusable', code: 'no-pairs', says: 'No pair of conductors was read.', each };
  }
  for (const name of worstFirst) {
    const found = entries.filter(([, verdict]) => verdict.verdict === name);
    const first = found[0];
    if (first === undefined) continue;
    const says =
      name === 'pass'
        ? `All ${entries.length} pairs are inside their limits.`
        : found.map(([pair, verdict]) => `${pair}: ${verdict.says}`).join(' ');
    return { verdict: name, code: first[1].code, says, each };
  }
  return { verdict: 'unusable', code: 'no-pairs', says: 'No pair of conductors was read.', each };
}
