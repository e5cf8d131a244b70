/** Results that hang on a meter: its fitness, its check on a known source, and every pair it read. */
import type { MeterCheck, Shown, StepResult } from './events.ts';
import { checkOnKnownSource, fitFor } from '../measure/instrument.ts';
import { parseQuantity, quantityOf, type Quantity } from '../measure/quantity.ts';
import { block, type Block } from './block.ts';
import type { PlanPoint, PlanSource, PlanStep } from './plan.ts';
import type { JobState } from './state.ts';

/** A case below this passes; at or above the second it stops the job. House default, reviewed locally. */
export const CASE_PASS_VOLTS = 5;
export const CASE_STOP_VOLTS = 30;

/** One result while it is being read. */
export interface Reading {
  readonly state: JobState;
  readonly step: PlanStep;
  readonly by: string;
  /** `YYYY-MM-DD` on the wall clock. */
  readonly date: string;
  readonly blocks: Block[];
}

/** What reading a result brings: the result as recorded, and what it shows to be live or in doubt. */
export interface Effect {
  readonly result?: StepResult;
  readonly live?: string;
  readonly caseLive?: string;
  readonly doubt?: string;
}

export function bad(ask: Reading, says: string): void {
  block(ask, 'bad-input', 'valueBad', { says });
}

export function pointOf(ask: Reading): PlanPoint {
  return ask.state.plan.points[ask.step.point] as PlanPoint;
}

export function sourceOf(ask: Reading): PlanSource {
  return ask.state.plan.sources[ask.step.source] as PlanSource;
}

export function checkInstrument(
  ask: Reading,
  id: string | undefined,
  source?: PlanSource,
  checkedFirst = false,
): boolean {
  if (id === undefined || id === '') {
    block(ask, 'instrument', 'instrumentMissing');
    return false;
  }
  const found = ask.state.instruments.find((each) => each.card.id === id);
  if (!found) {
    block(ask, 'instrument', 'unknownInstrument', { instrument: id });
    return false;
  }
  const { card } = found;
  if (source) {
    const nominal = parseQuantity(source.source.nominal ?? '');
    const volts = nominal.ok ? nominal.quantity.si : 0;
    const category = source.source.dead?.category ?? 'CAT II';
    for (const problem of fitFor(card, category, volts, ask.date)) {
      block(ask, 'instrument', 'instrumentFit', { says: problem.says });
    }
  } else if (card.due !== '' && card.due < ask.date) {
    block(ask, 'instrument', 'instrumentDue', { instrument: id, due: card.due });
  }
  /* A proof and a case test begin with the check that clears a doubt, and a reading may. */
  const checks = ask.step.do === 'prove' || ask.step.do === 'case' || checkedFirst;
  if (found.doubted && !checks) block(ask, 'instrument', 'instrumentDoubted', { instrument: id });
  return true;
}

/** One check on a known source; false when the meter does not show what is known. */
export function meterHolds(
  ask: Reading,
  check: MeterCheck | undefined,
  which: 'meterBefore' | 'meterAfter',
): boolean {
  if (!check) {
    block(ask, 'instrument', which);
    return true;
  }
  const expected = voltsOf(ask, 'The known source', check.expected, check.unit);
  const shown = voltsOf(ask, 'The meter on the known source', check.shown, check.unit);
  if (expected === undefined || shown === undefined) return true;
  const least = ask.step.source < 0 ? CASE_PASS_VOLTS : voltsBelow(sourceOf(ask));
  if (expected.si < least) {
    bad(ask, `A known source is live: ${expected.text} would pass for dead and proves no meter.`);
    return true;
  }
  if (checkOnKnownSource(expected.si, shown.si).ok) return true;
  const args = { shown: check.shown, expected: check.expected, unit: check.unit };
  block(ask, 'instrument', 'meterCheck', args);
  return false;
}

/** Below this a pair of the source counts as dead; what a known source has to be above. */
function voltsBelow(source: PlanSource): number {
  const limit = parseQuantity(source.source.dead?.below ?? '');
  return limit.ok ? limit.quantity.si : CASE_PASS_VOLTS;
}

function voltsOf(ask: Reading, pair: string, value: string, unit: string): Quantity | undefined {
  const read = quantityOf(value, unit);
  if (!read.ok) bad(ask, `${pair}: ${read.problem.says}`);
  else if (read.quantity.dimension !== 'voltage')
    bad(ask, `${pair}: ${read.quantity.text} is not a voltage.`);
  else return read.quantity;
  return undefined;
}

/** Every pair under the name that the checklist gives it: N-L1 is the same reading as L1-N. */
function pairsOf(given: StepResult, wanted: readonly string[]): Readonly<Record<string, Shown>> {
  const pairs = given.pairs ?? {};
  if (Object.keys(pairs).every((pair) => wanted.includes(pair))) return pairs;
  const named = Object.entries(pairs).map(([pair, shown]) => {
    const turned = pair.split('-').reverse().join('-');
    const other = wanted.includes(turned) && !Object.hasOwn(pairs, turned);
    return [other ? turned : pair, shown] as const;
  });
  return Object.fromEntries(named);
}

export function readCase(ask: Reading, given: StepResult): Effect {
  const source = sourceOf(ask);
  const known = checkInstrument(ask, given.instrument, source);
  const data = ask.step.step;
  const wanted = data.do === 'case' ? (data.pairs ?? []) : [];
  const pairs = pairsOf(given, wanted);
  if (Object.keys(pairs).length === 0)
    block(ask, 'bad-input', 'pairMissing', { pair: wanted[0] ?? 'case-ground' });
  for (const pair of wanted)
    if (!Object.hasOwn(pairs, pair)) block(ask, 'case-unknown', 'pairMissing', { pair });
  const before = meterHolds(ask, given.before, 'meterBefore');
  const after = given.after === undefined || meterHolds(ask, given.after, 'meterAfter');
  let live = false;
  for (const [pair, shown] of Object.entries(pairs)) {
    const volts = voltsOf(ask, pair, shown.value, shown.unit);
    if (volts === undefined || Math.abs(volts.si) < CASE_PASS_VOLTS) continue;
    live = true;
    block(ask, 'case-live', 'caseReads', {
      pair,
      value: shown.value,
      unit: shown.unit,
      pass: `${CASE_PASS_VOLTS} V`,
      stop: `${CASE_STOP_VOLTS} V`,
    });
  }
  return {
    result: { ...given, pairs },
    ...(live ? { caseLive: source.id } : {}),
    ...(known && !(before && after) ? { doubt: given.instrument as string } : {}),
  };
}

export function readProof(ask: Reading, given: StepResult): Effect {
  const source = sourceOf(ask);
  const dead = source.source.dead;
  const counted = given.sources ?? ask.state.counted;
  const declared = ask.state.plan.sources.length;
  if (counted < 1) block(ask, 'source-uncounted', 'sourcesUncounted');
  else if (counted > declared) {
    block(ask, 'source-uncounted', 'sourcesMore', { counted, known: declared });
  }
  const known = checkInstrument(ask, given.instrument, source);
  const before = meterHolds(ask, given.before, 'meterBefore');
  const after = meterHolds(ask, given.after, 'meterAfter');
  const pairs = pairsOf(given, dead?.pairs ?? []);
  const below = voltsBelow(source);
  let live = false;
  for (const pair of dead?.pairs ?? []) {
    if (!Object.hasOwn(pairs, pair)) block(ask, 'not-dead', 'pairMissing', { pair });
  }
  /* A pair that nobody asked for and that is live is as live as any. */
  for (const [pair, { value, unit }] of Object.entries(pairs)) {
    const volts = voltsOf(ask, pair, value, unit);
    if (volts === undefined || Math.abs(volts.si) < below) continue;
    live = true;
    block(ask, 'not-dead', 'pairLive', { pair, value, unit, below: dead?.below ?? '' });
  }
  return {
    result: { ...given, pairs },
    ...(live ? { live: source.id } : {}),
    ...(known && !(before && after) ? { doubt: given.instrument as string } : {}),
  };
}
