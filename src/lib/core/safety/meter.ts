/** What measurements have to show: proofs of dead, case tests, residuals, and the meter itself. */
import { quantityOf, type Dimension } from '../measure/quantity.ts';
import type { Instrument, MeterCheck, Shown, StepResult } from '../job/events.ts';
import type { BookStep } from './book.ts';
import { now } from './clock.ts';
import type { Scene } from './scene.ts';

/** Allowed difference between a known source and what the meter shows; a default of the house. */
const knownSourceTolerance = 0.1;
/** A case below this voltage to proven ground may be touched; common practice, no source. */
const caseLimitVolts = 5;
const categoryRanks: Readonly<Record<string, number>> = { 'CAT II': 2, 'CAT III': 3, 'CAT IV': 4 };

/**
 * Why a proof of dead proves nothing; null when it does (live, dead, live; one meter, fit and in
 * date).
 */
export function proofFault(
  scene: Scene,
  step: BookStep,
  result: StepResult,
  date: string,
): string | null {
  const source = scene.book.sources[step.source];
  if (!source?.dead) return 'the source names no pairs that would show it dead';
  const meter = scene.instruments.find((one) => one.id === result.instrument);
  if (meter === undefined) return 'no meter of this job was named';
  return (
    meterFault(meter, source.dead.category, source.nominal, date) ??
    checkFault(result.before, 'before') ??
    checkFault(result.after, 'after') ??
    pairsFault(result.pairs ?? {}, source.dead.pairs, source.dead.below)
  );
}

function meterFault(
  meter: Instrument,
  category: string,
  nominal: number,
  date: string,
): string | null {
  if (!(date <= meter.due.slice(0, 10)))
    return `the meter ${meter.id} is past its calibration date`;
  const has = categoryRanks[meter.category] ?? 0;
  if (has < (categoryRanks[category] ?? Infinity))
    return `the meter ${meter.id} is not ${category}`;
  const rated = volts(meter.volts);
  return rated >= nominal
    ? null
    : `the meter ${meter.id} is not rated for the voltage of the source`;
}

/** A rated voltage, written with its unit or as bare volts; NaN when it is neither. */
function volts(text: string): number {
  return siOf(text, /\p{L}/u.test(text) ? '' : 'V', 'voltage');
}

function checkFault(check: MeterCheck | undefined, when: string): string | null {
  if (check === undefined) return `the meter was not checked on a known source ${when}`;
  const expected = siOf(check.expected, check.unit, 'voltage');
  const off = Math.abs(siOf(check.shown, check.unit, 'voltage') - expected);
  // The margin keeps 132 on 120 inside: 0.1 has no exact binary form.
  const good = expected > 0 && off <= expected * knownSourceTolerance * (1 + 1e-9);
  return good ? null : `the meter was not within 10 % of a known source ${when}`;
}

function pairsFault(
  shown: Readonly<Record<string, Shown>>,
  wanted: readonly string[],
  below: number,
): string | null {
  const missing = wanted.find((pair) => !Object.hasOwn(shown, pair));
  if (missing !== undefined) return `the pair ${missing} was not read`;
  for (const [pair, value] of Object.entries(shown)) {
    if (!(Math.abs(siOf(value.value, value.unit, 'voltage')) < below))
      return `the pair ${pair} is not below its limit`;
  }
  return Object.keys(shown).length > 0 ? null : 'no pair was read';
}

export function isCheckedBefore(result: StepResult): boolean {
  return checkFault(result.before, 'before') === null;
}

export function isCheckedAfter(result: StepResult): boolean {
  return checkFault(result.after, 'after') === null;
}

/**
 * Whether a case test shows that the case may be touched: the meter checked first, every pair below
 * 5 V.
 */
export function isCaseClear(step: BookStep, result: StepResult): boolean {
  if (!isCheckedBefore(result)) return false;
  if (result.after !== undefined && !isCheckedAfter(result)) return false;
  return pairsFault(result.pairs ?? {}, step.pairs, caseLimitVolts) === null;
}

/** Why a release of stored energy does not count; null when it does. */
export function releaseFault(scene: Scene, step: BookStep, result: StepResult): string | null {
  const release = scene.book.sources[step.source]?.release;
  if (!release) return null;
  const fault = waitFault(scene, release.waitMs, release.feeders);
  if (fault !== null) return fault;
  if (release.residual === null) return null;
  if (scene.doubted.includes(result.instrument ?? '')) {
    return 'the meter is in doubt and was not checked since';
  }
  const { dimension, below } = release.residual;
  const shown = siOf(result.value, result.unit, dimension);
  // Only a temperature may be far below zero and harmless.
  const level = dimension === 'temperature' ? shown : Math.abs(shown);
  return level < below ? null : 'no residual below the limit was measured';
}

function waitFault(scene: Scene, waitMs: number, feeders: readonly number[]): string | null {
  for (const feeder of feeders) {
    const source = scene.book.sources[feeder];
    if (source === undefined) continue;
    const since = scene.isolatedAt[feeder] ?? Infinity;
    if (since === Infinity)
      return `${source.label} still feeds it: it is not isolated at every point`;
    if (!(now(scene) - since >= waitMs))
      return `the wait since ${source.label} was isolated is not over`;
  }
  return Number.isNaN(waitMs) ? 'the wait cannot be computed' : null;
}

/** Texts read before: an explorer shows the same few readings millions of times. */
const readings = new Map<string, number>();
const mostReadings = 1024;

function siOf(value = '', unit = '', dimension: Dimension): number {
  const text = `${dimension} ${value} ${unit}`;
  const known = readings.get(text);
  if (known !== undefined) return known;
  const read = quantityOf(value, unit);
  const si = read.ok && read.quantity.dimension === dimension ? read.quantity.si : NaN;
  if (readings.size >= mostReadings) readings.clear();
  readings.set(text, si);
  return si;
}
