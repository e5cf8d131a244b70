/**
 * What was handed in with a step, read against what the step asks for.
 *
 * Gates ask whether a step may be done now; this asks whether what is said of it can be taken. A
 * measurement that shows danger (a live case, a live pair, a meter that fails its check) is refused as
 * the step's result but kept in the record, and its effect stands.
 */
import type { ContactsResult, StepResult } from './events.ts';
import { judgeContacts } from '../measure/contacts.ts';
import { parseQuantity, quantityOf, type Quantity } from '../measure/quantity.ts';
import { judgePairs, judgeReading } from '../measure/verdict.ts';
import { block, type Block } from './block.ts';
import {
  bad,
  checkInstrument,
  meterHolds,
  pointOf,
  readCase,
  readProof,
  sourceOf,
  type Effect,
  type Reading,
} from './meter-results.ts';
import type { PlanStep } from './plan.ts';
import { presentCount, type JobState } from './state.ts';

/** Isolating devices by the names people give them; anything else is a control until shown otherwise. */
const ISOLATORS: Readonly<Record<string, readonly string[]>> = {
  breaker: ['breaker', 'circuit breaker', 'main breaker', 'two-pole breaker', 'mcb'],
  disconnect: [
    'disconnect',
    'isolator',
    'isolating switch',
    'disconnect switch',
    'pull-out',
    'local disconnect',
  ],
  fuse: ['fuse', 'fuses', 'fuse holder', 'fuse carrier'],
  plug: ['plug', 'cord', 'cord and plug'],
  valve: ['valve', 'cock', 'gas cock', 'stop', 'stop valve', 'tap'],
  block: ['block', 'chock', 'pin', 'clamp', 'blank'],
  battery: ['battery', 'battery disconnect', 'battery plug'],
};

/** What people use in place of a lock, and that holds nothing. */
const NO_LOCK =
  /^(?:.*\b(?:tape|string|sticker|label|tag|zip ?tie|cable ?tie|wire|note|paper|none|no lock)\b.*|-|0)$/i;

export function isNoLock(number: string): boolean {
  return NO_LOCK.test(number.trim());
}

export interface ReadResult {
  readonly result: StepResult;
  readonly blocks: readonly Block[];
  /** A source that this shows to be live, or an instrument that fails its check. */
  readonly live?: string;
  readonly caseLive?: string;
  readonly doubt?: string;
}

/** `2 of volts` as text for the record: figures are decimal strings there, never fractions. */
function figure(value: number | null): string | undefined {
  return value === null ? undefined : String(Number(value.toPrecision(6)));
}

function readReading(ask: Reading, given: StepResult): Effect {
  const data = ask.step.step;
  if (data.do !== 'reading') return {};
  const source = data.quantity === 'voltage' && ask.step.source >= 0 ? sourceOf(ask) : undefined;
  const needsMeter = !['time', 'length', 'mass'].includes(data.quantity);
  const checked = given.before !== undefined;
  if (needsMeter || given.instrument !== undefined) {
    checkInstrument(ask, given.instrument, source, checked);
  }
  if (checked && !meterHolds(ask, given.before, 'meterBefore')) {
    return given.instrument === undefined ? {} : { doubt: given.instrument };
  }
  const card = ask.state.instruments.find((each) => each.card.id === given.instrument)?.card;
  const accept = data.accept;
  if (accept && 'pairs' in accept) {
    const judged = judgePairs(given.pairs ?? {}, accept, {
      instrument: card,
      quantity: data.quantity,
    });
    if (judged.verdict === 'unusable') bad(ask, judged.says);
    return { result: { ...given, verdict: judged.verdict, says: judged.says } };
  }
  if (given.value === undefined) {
    block(ask, 'bad-input', 'valueMissing');
    return {};
  }
  if (!accept) {
    if (given.value === 'OL') return {};
    const read = quantityOf(given.value, given.unit ?? '');
    if (!read.ok) bad(ask, read.problem.says);
    return {};
  }
  const judged = judgeReading({
    value: given.value,
    unit: given.unit,
    quantity: data.quantity,
    accept,
    instrument: card,
    origin: data.limit,
  });
  if (judged.verdict === 'unusable') {
    bad(ask, judged.says);
    return {};
  }
  const [low, high] = [figure(judged.low), figure(judged.high)];
  return {
    result: {
      ...given,
      verdict: judged.verdict,
      says: judged.says,
      ...(low === undefined ? {} : { low }),
      ...(high === undefined ? {} : { high }),
    },
  };
}

function readContacts(ask: Reading, given: StepResult): Effect {
  const data = ask.step.step;
  if (data.do !== 'contacts') return {};
  const { rest = '', pressed = '' } = given as Partial<ContactsResult>;
  const judged = judgeContacts({
    terminals: data.terminals,
    rest,
    pressed,
    ...(data.rest === undefined
      ? {}
      : { kind: data.rest === 'open' ? ('NO' as const) : ('NC' as const) }),
  });
  if (judged.code === 'unusable') {
    block(ask, 'bad-input', 'contactsBad', { says: judged.says });
    return {};
  }
  const verdict = judged.healthy ? 'pass' : 'fail';
  return { result: { ...given, rest, pressed, verdict, says: `${judged.name}. ${judged.says}` } };
}

function readRelease(ask: Reading, given: StepResult): Effect {
  const source = sourceOf(ask);
  const release = source.source.release;
  if (!release || 'stated' in release) return {};
  checkInstrument(ask, given.instrument);
  if (given.value === undefined) {
    block(ask, 'bad-input', 'valueMissing');
    return {};
  }
  const below =
    'cool' in release
      ? release.cool.below
      : 'discharge' in release
        ? release.discharge.below
        : release.measured.below;
  const [limit, read] = [parseQuantity(below), quantityOf(given.value, given.unit ?? '')];
  if (!read.ok) bad(ask, read.problem.says);
  else if (limit.ok && read.quantity.dimension !== limit.quantity.dimension) {
    bad(ask, `${read.quantity.text} is not the kind of quantity asked for; the limit is ${below}.`);
  } else if (
    limit.ok &&
    Math.abs(read.quantity.si) >= limit.quantity.si &&
    !isColdFloor(limit.quantity, read.quantity)
  ) {
    const args = { source: source.source.label, value: given.value, unit: given.unit ?? '', below };
    block(ask, 'stored', 'residual', args);
  }
  return {};
}

/** A temperature under zero is below its limit whatever its size. */
function isColdFloor(limit: Quantity, read: Quantity): boolean {
  return limit.dimension === 'temperature' && read.si < limit.si;
}

/** What a name may carry beside the device: its place in the panel. */
const POSITION = /(?:#|no\.?|nr\.?|number|position)?\s*\d+\s*[a-z]?$/;

function readIsolate(ask: Reading, given: StepResult): Effect {
  const point = pointOf(ask);
  const operated = (given.operated ?? point.by).trim().toLowerCase();
  const device = operated.replace(POSITION, '').replace(/[\s,]+$/, '');
  const kind = Object.keys(ISOLATORS).find((each) => ISOLATORS[each]?.includes(device));
  const args = { operated: given.operated ?? '', point: point.label, by: point.by };
  if (kind === undefined) block(ask, 'control-not-isolator', 'controlNotIsolator', args);
  else if (kind !== point.by) block(ask, 'control-not-isolator', 'operatedOther', args);
  return { result: { ...given, operated } };
}

function readLock(ask: Reading, given: StepResult): Effect {
  const point = pointOf(ask);
  const number = (given.lock ?? '').trim();
  const tagged =
    point.control === 'tag' && (given.tag ?? '') !== '' && (given.measure ?? '') !== '';
  if (number === '' && tagged) return { result: given };
  if (number === '' && (given.tag ?? '') === '') block(ask, 'bad-input', 'lockNumber');
  else if (number === '' || isNoLock(number)) {
    block(ask, 'tag-not-enough', 'tagNotEnough', { lock: number === '' ? 'A tag alone' : number });
  }
  const elsewhere = ask.state.locks.find(
    (lock) => lock.number === number && (lock.point !== point.index || lock.owner !== ask.by),
  );
  if (elsewhere && number !== '') {
    const where = ask.state.plan.points[elsewhere.point]?.label ?? '';
    block(ask, 'lock-owner', 'lockUsed', { lock: number, point: where });
  }
  return { result: { ...given, lock: number } };
}

/** A number that was named has to be that of the person's own lock: nobody takes off another's. */
function readUnlock(ask: Reading, given: StepResult): Effect {
  const lock = (given.lock ?? '').trim();
  if (lock === '') return {};
  const { index } = pointOf(ask);
  const named = ask.state.locks.filter((each) => each.number === lock);
  const mine = named.some((each) => each.point === index && (each.owner === ask.by || each.parked));
  if (mine) return {};
  const other = named.find((each) => each.owner !== ask.by);
  const elsewhere = ask.state.plan.points[named[0]?.point ?? -1]?.label;
  if (other) block(ask, 'lock-owner', 'removeHere', { person: other.owner });
  else if (elsewhere === undefined) block(ask, 'bad-input', 'removeOwner', { lock });
  else block(ask, 'lock-owner', 'lockUsed', { lock, point: elsewhere });
  return {};
}

function readConnectors(ask: Reading, given: StepResult): Effect {
  const connectors = given.connectors ?? [];
  if (connectors.length === 0) block(ask, 'bad-input', 'connectorsMissing');
  const seen = new Set<string>();
  for (const each of connectors) {
    if (each.id === '') block(ask, 'bad-input', 'connectorsMissing');
    const known = ask.state.connectors.some((other) => other.id === each.id && other.open);
    if (known || seen.has(each.id))
      block(ask, 'bad-input', 'connectorKnown', { connector: each.id });
    seen.add(each.id);
  }
  return {};
}

function readReseat(ask: Reading, given: StepResult): Effect {
  const id = given.connector ?? '';
  const found = ask.state.connectors.find((each) => each.id === id);
  if (!found) block(ask, 'bad-input', 'noConnector', { connector: id === '' ? 'unnamed' : id });
  else if (!found.open) block(ask, 'bad-input', 'connectorClosed', { connector: id });
  return {};
}

function readChoice(ask: Reading, given: StepResult): Effect {
  const data = ask.step.step;
  if (data.do !== 'choose') return {};
  if (given.option === undefined || !Object.hasOwn(data.options, given.option)) {
    const options = Object.keys(data.options).join(', ');
    block(ask, 'bad-input', 'optionUnknown', { option: given.option ?? 'nothing', options });
  }
  return {};
}

function readRollCall(ask: Reading, given: StepResult): Effect {
  const said = given.people ?? (presentCount(ask.state) === 1 ? [ask.by] : []);
  for (const person of ask.state.people) {
    if (person.present && !said.includes(person.id)) {
      block(ask, 'roll-call', 'rollCallMissing', { person: person.id }, [ask.step.index]);
    }
  }
  for (const id of said) {
    if (!ask.state.people.some((person) => person.id === id)) {
      block(ask, 'bad-input', 'rollCallStranger', { person: id });
    }
  }
  return { result: { ...given, people: said } };
}

const READERS: Readonly<Record<string, (ask: Reading, given: StepResult) => Effect>> = {
  case: readCase,
  prove: readProof,
  reading: readReading,
  contacts: readContacts,
  release: readRelease,
  isolate: readIsolate,
  lock: readLock,
  unlock: readUnlock,
  disconnect: readConnectors,
  reseat: readReseat,
  choose: readChoice,
  clear: readRollCall,
};

/** Reads what was handed in with a step. `result` is what goes into the record when nothing blocks. */
export function readResult(
  state: JobState,
  step: PlanStep,
  by: string,
  date: string,
  given: StepResult,
): ReadResult {
  const ask: Reading = { state, step, by, date, blocks: [] };
  const data = step.step;
  const counts = data.do === 'confirm' && data.counts === 'sources';
  if (counts && given.sources === undefined) block(ask, 'bad-input', 'countBad');
  if (given.sources !== undefined && given.sources < 1) block(ask, 'bad-input', 'countBad');
  const effect = READERS[step.do]?.(ask, given) ?? {};
  return { result: given, ...effect, blocks: ask.blocks };
}
