/**
 * Windings: temperature from resistance, and which of three terminals is which.
 *
 * R2/R1 = (K + t2)/(K + t1). K is 234.5 for copper. For aluminium two constants are published and both
 * are kept by name: 225 (IEC 60335 family, UL) and 228 (IEC 60228 family).
 */
import { asWritten, bad, good, outOfRange, type Outcome } from './outcome.ts';

export const windingMetals = {
  copper: 234.5,
  'aluminium-225': 225,
  'aluminium-228': 228,
} as const;
export type WindingMetal = keyof typeof windingMetals;

export const windingSource = 'R2/R1 = (K + t2)/(K + t1); rise by IEC 60335-1, 11.8';

/**
 * Hot temperature in °C and rise in K of a winding from its cold and hot resistance (ohm) and the cold
 * temperature. `roomNow` is the room at the end of the test when it has changed: the rise is over that.
 */
export function windingTemperature(of: {
  cold: number;
  coldAt: number;
  hot: number;
  metal: WindingMetal;
  roomNow?: number;
}): Outcome<{ temperature: number; rise: number }> {
  const k = windingMetals[of.metal];
  if (k === undefined) {
    return bad(
      'unknown-metal',
      `“${asWritten(of.metal)}” is not copper, aluminium-225 or aluminium-228.`,
    );
  }
  const problem =
    outOfRange('The cold resistance', of.cold, 'ohm', { above: 0 }) ??
    outOfRange('The hot resistance', of.hot, 'ohm', { above: 0 }) ??
    outOfRange('The cold temperature', of.coldAt, '°C', { above: -k }) ??
    outOfRange('The room temperature', of.roomNow ?? of.coldAt, '°C', { above: -k });
  if (problem !== null) return { ok: false, problem };
  const temperature = (of.hot / of.cold) * (k + of.coldAt) - k;
  return good({ temperature, rise: temperature - (of.roomNow ?? of.coldAt) });
}

/** Resistance at another temperature (°C): R·(K + to)/(K + at). */
export function resistanceAt(ohms: number, at: number, to: number, metal: WindingMetal): number {
  const k = windingMetals[metal];
  return (ohms * (k + to)) / (k + at);
}

export interface ThreeTerminals {
  readonly common: string;
  readonly start: string;
  readonly run: string;
  /** How far the largest reading is from the sum of the other two, as a part of it. */
  readonly off: number;
}

/**
 * Names the terminals of a single-phase motor from the three resistances between them, keyed
 * `one-other`: start–run is the sum of start–common and common–run. `tolerance` is how far the sum may
 * be off (5 % unless said; common practice, no source).
 */
export function nameWindings(
  ohms: Readonly<Record<string, number>>,
  tolerance = 0.05,
): Outcome<ThreeTerminals> {
  const pairs = Object.entries(ohms).map(([pair, value]) => {
    const [one = '', other = ''] = pair.split('-');
    return { one, other, value };
  });
  const terminals = new Set(pairs.flatMap(({ one, other }) => [one, other]));
  if (pairs.length !== 3 || terminals.size !== 3 || terminals.has('')) {
    return bad(
      'three-pairs',
      'Three readings between three terminals are needed, such as 1-2, 1-3 and 2-3.',
    );
  }
  for (const { one, other, value } of pairs) {
    const problem = outOfRange(`${one}–${other}`, value, 'ohm', { above: 0 });
    if (problem !== null) return { ok: false, problem };
  }
  const [most, middle, least] = pairs.sort((a, b) => b.value - a.value);
  if (most === undefined || middle === undefined || least === undefined) {
    return bad('three-pairs', 'Three readings are needed.');
  }
  const off = (middle.value + least.value - most.value) / most.value;
  if (Math.abs(off) > tolerance) {
    return bad(
      'sum-broken',
      'The largest reading is not the sum of the other two: wrong terminals, or shorted turns.',
    );
  }
  const common = [...terminals].find((each) => each !== most.one && each !== most.other) ?? '';
  if (middle.value - least.value <= tolerance * least.value) {
    return bad(
      'windings-alike',
      `${common} is common; the two windings read alike, so start and run cannot be told apart by ohms.`,
    );
  }
  const start = middle.one === common ? middle.other : middle.one;
  const run = least.one === common ? least.other : least.one;
  return good({ common, start, run, off });
}
