/**
 * Reads an untrusted object as a command: every field of the right shape, nothing unknown kept.
 *
 * Measured values may come as numbers or as decimal text; they leave as the text that was written, since
 * a record holds no fractions. What a value means is for `results.ts` to judge.
 */
import { LAPSES, type Lapse } from '../checklist/model.ts';
import type { Command, NewPerson, Order } from './commands.ts';
import type {
  ConnectorLabel,
  Instrument,
  LeftOpen,
  MeterCheck,
  Shown,
  StepResult,
} from './events.ts';

export type ParsedCommand =
  { readonly ok: true; readonly command: Command } | { readonly ok: false; readonly says: string };

class Unusable extends Error {}

type Json = Readonly<Record<string, unknown>>;

function isObject(value: unknown): value is Json {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function fail(says: string): never {
  throw new Unusable(says);
}

function object(value: unknown, where: string): Json {
  return isObject(value) ? value : fail(`${where} has to be an object.`);
}

const LONGEST_TEXT = 4000;

function text(value: unknown, where: string): string {
  if (typeof value !== 'string') return fail(`${where} has to be text.`);
  if (value.length > LONGEST_TEXT)
    return fail(`${where} is longer than ${LONGEST_TEXT} characters.`);
  if (!value.isWellFormed()) return fail(`${where} holds half a character.`);
  return value;
}

function optionalText(value: unknown, where: string): string | undefined {
  return value === undefined || value === null ? undefined : text(value, where);
}

function whole(value: unknown, where: string): number {
  return Number.isSafeInteger(value)
    ? (value as number)
    : fail(`${where} has to be a whole number.`);
}

function list(value: unknown, where: string): readonly unknown[] {
  if (value === undefined) return [];
  if (!Array.isArray(value)) return fail(`${where} has to be a list.`);
  return value.length > 1000 ? fail(`${where} holds more than 1000 items.`) : value;
}

const texts = (value: unknown, where: string) =>
  list(value, where).map((each, at) => text(each, `${where}[${at}]`));

/** A measured value as it was written. */
function decimal(value: unknown, where: string): string {
  if (typeof value === 'number') {
    return Number.isFinite(value) ? String(value) : fail(`${where} is not an ordinary number.`);
  }
  return text(value, where).trim();
}

function shown(value: unknown, where: string): Shown {
  const given = object(value, where);
  return {
    value: decimal(given.value, `${where}.value`),
    unit: text(given.unit ?? '', `${where}.unit`),
  };
}

function check(value: unknown, where: string): MeterCheck {
  const given = object(value, where);
  return {
    expected: decimal(given.expected, `${where}.expected`),
    shown: decimal(given.shown, `${where}.shown`),
    unit: text(given.unit, `${where}.unit`),
  };
}

function connector(value: unknown, where: string): ConnectorLabel {
  const given = object(value, where);
  const id = text(given.id, `${where}.id`);
  const wire = optionalText(given.wire, `${where}.wire`);
  const pin = given.pin === undefined ? undefined : object(given.pin, `${where}.pin`);
  return {
    id,
    label: optionalText(given.label, `${where}.label`) ?? id,
    terminal: optionalText(given.terminal, `${where}.terminal`) ?? '',
    ...(wire === undefined ? {} : { wire }),
    ...(pin === undefined
      ? {}
      : {
          pin: {
            photo: text(pin.photo, `${where}.pin.photo`),
            x: whole(pin.x, `${where}.pin.x`),
            y: whole(pin.y, `${where}.pin.y`),
          },
        }),
  };
}

/** Readers for the fields that a step's result may hold. */
const RESULT_FIELDS: Readonly<Record<string, (value: unknown, where: string) => unknown>> = {
  photos: texts,
  sources: whole,
  option: text,
  operated: text,
  lock: (value, where) => (typeof value === 'number' ? String(value) : text(value, where)),
  tag: text,
  measure: text,
  value: decimal,
  unit: text,
  instrument: text,
  pairs: (value, where) =>
    Object.fromEntries(
      Object.entries(object(value, where)).map(([pair, each]) => [
        pair,
        shown(each, `${where}.${pair}`),
      ]),
    ),
  before: check,
  after: check,
  rest: text,
  pressed: text,
  connectors: (value, where) =>
    list(value, where).map((each, at) => connector(each, `${where}[${at}]`)),
  connector: text,
  people: texts,
  tools: whole,
  language: text,
  told: texts,
  directory: text,
  position: text,
};

function resultOf(value: unknown): StepResult {
  const given = value === undefined ? {} : object(value, 'result');
  const fields = Object.entries(given).map(([name, each]) => {
    const read = RESULT_FIELDS[name];
    if (!read) fail(`“result.${name}” is not a field of a result.`);
    return [name, read?.(each, `result.${name}`)] as const;
  });
  return Object.fromEntries(fields) as StepResult;
}

function person(value: unknown, where: string): NewPerson {
  if (typeof value === 'string') return { id: text(value, where), competence: [] };
  const given = object(value, where);
  const name = optionalText(given.name, `${where}.name`);
  return {
    id: text(given.id, `${where}.id`),
    competence: texts(given.competence, `${where}.competence`),
    ...(name === undefined ? {} : { name }),
  };
}

function instrument(value: unknown, where: string): Instrument {
  const given = object(value, where);
  const volts = typeof given.volts === 'string' ? given.volts.replace(/\s*V$/, '') : given.volts;
  return {
    id: text(given.id, `${where}.id`),
    category: optionalText(given.category, `${where}.category`) ?? '',
    volts: volts === undefined ? '' : decimal(volts, `${where}.volts`),
    due: optionalText(given.due, `${where}.due`) ?? '',
    percent: given.percent === undefined ? '' : decimal(given.percent, `${where}.percent`),
    counts: given.counts === undefined ? 0 : whole(given.counts, `${where}.counts`),
  };
}

const people = (value: unknown) =>
  list(value, 'people').map((each, at) => person(each, `people[${at}]`));

function leftOpen(value: unknown): LeftOpen[] {
  return list(value, 'left').map((each, at) => {
    const given = object(each, `left[${at}]`);
    return {
      end: text(given.end, `left[${at}].end`),
      insulated: given.insulated === true,
      why: optionalText(given.why, `left[${at}].why`) ?? '',
    };
  });
}

function lapseName(value: unknown): Lapse {
  return (
    LAPSES.find((each) => each === value) ?? fail(`“what” has to be one of: ${LAPSES.join(', ')}.`)
  );
}

function withOptional<T extends object>(
  base: T,
  given: Json,
  fields: Readonly<Record<string, (value: unknown, where: string) => unknown>>,
): T {
  const extra = Object.entries(fields).flatMap(([name, read]) =>
    given[name] === undefined || given[name] === null
      ? []
      : [[name, read(given[name], name)] as const],
  );
  return { ...base, ...Object.fromEntries(extra) };
}

const words = (value: unknown) => optionalText(value, 'text') ?? '';
/** A statement that may come as `true` or as words. */
const stated = (value: unknown) => (value === true ? 'yes' : value === false ? '' : words(value));

const ORDERS: Readonly<Record<string, (given: Json) => Order>> = {
  open: (given) =>
    withOptional(
      {
        command: 'open' as const,
        site: text(given.site, 'site'),
        people: people(given.people),
        instruments: list(given.instruments, 'instruments').map((each, at) =>
          instrument(each, `instruments[${at}]`),
        ),
      },
      given,
      {
        demo: (value) => value === true,
        previous: (value) => {
          const previous = object(value, 'previous');
          return {
            job: text(previous.job, 'previous.job'),
            head: text(previous.head, 'previous.head'),
          };
        },
      },
    ),
  do: (given) =>
    withOptional(
      { command: 'do' as const, step: text(given.step, 'step'), result: resultOf(given.result) },
      given,
      { acted: text },
    ),
  notDone: (given) => ({
    command: 'notDone',
    step: text(given.step, 'step'),
    why: words(given.why),
  }),
  correct: (given) => ({
    command: 'correct',
    step: text(given.step, 'step'),
    why: words(given.why),
  }),
  caution: (given) => ({ command: 'caution', step: text(given.step, 'step') }),
  lapse: (given) =>
    withOptional({ command: 'lapse' as const, what: lapseName(given.what) }, given, {
      source: text,
      instrument: text,
      minutes: whole,
      step: text,
    }),
  join: (given) => ({ command: 'join', person: person(given.person, 'person') }),
  leave: (given) => ({ command: 'leave', person: text(given.person, 'person') }),
  window: (given) =>
    withOptional(
      {
        command: 'window' as const,
        source: text(given.source, 'source'),
        reason: words(given.reason),
        readBack: stated(given.readBack),
      },
      given,
      { step: text },
    ),
  endWindow: (given) => ({ command: 'endWindow', again: given.again === true }),
  park: (given) =>
    withOptional(
      {
        command: 'park' as const,
        as:
          given.as === 'usable' || given.as === 'shut'
            ? given.as
            : fail('“as” has to be “usable” or “shut”.'),
        told: words(given.told),
        owner: words(given.owner),
        until: words(given.until),
        left: leftOpen(given.left),
      },
      given,
      { lock: text },
    ),
  resume: () => ({ command: 'resume' }),
  handOver: (given) =>
    withOptional({ command: 'handOver' as const, to: text(given.to, 'to') }, given, { lock: text }),
  removeLockFor: (given) => ({
    command: 'removeLockFor',
    lock: text(given.lock, 'lock'),
    away: stated(given.away),
    tried: texts(given.tried, 'tried'),
    informed: stated(given.informed),
    authorizedBy: words(given.authorizedBy),
  }),
  tingle: (given) => ({ command: 'tingle', what: words(given.what ?? given.why) }),
  nearMiss: (given) => ({ command: 'nearMiss', what: words(given.what ?? given.why) }),
  downTools: (given) => ({ command: 'downTools', why: words(given.why ?? given.what) }),
  refuse: (given) => ({
    command: 'refuse',
    why: words(given.why ?? given.what),
    left: leftOpen(given.left),
  }),
  evidenceHold: (given) => ({ command: 'evidenceHold', why: words(given.why ?? given.what) }),
  close: () => ({ command: 'close' }),
  amend: (given) => ({ command: 'amend', about: words(given.about), text: words(given.text) }),
};

const TIME = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(?:\.\d{1,9})?(?:Z|[+-]\d{2}:\d{2})$/;

function at(value: unknown): string {
  const said = text(value, 'at');
  const real = TIME.test(said) && !Number.isNaN(Date.parse(said));
  return real
    ? said
    : fail('“at” has to be a time with its offset, such as 2026-11-25T10:42:07-05:00.');
}

function mono(value: unknown): number {
  const ms = whole(value, 'mono');
  return ms >= 0 ? ms : fail('“mono” cannot be negative.');
}

/** Reads one command; what is wrong is said in one sentence that names the field. */
export function parseCommand(value: unknown): ParsedCommand {
  try {
    const given = object(value, 'A command');
    const name = text(given.command, 'command');
    const read = Object.hasOwn(ORDERS, name) ? ORDERS[name] : undefined;
    if (!read) fail(`“${name}” is no command; there are: ${Object.keys(ORDERS).join(', ')}.`);
    const stamp = {
      at: at(given.at),
      mono: mono(given.mono),
      boot: optionalText(given.boot, 'boot') ?? 'boot',
      by: text(given.by, 'by'),
    };
    return {
      ok: true,
      command: { ...stamp, ...(read as (given: Json) => Order)(given) } as Command,
    };
  } catch (error) {
    if (error instanceof Unusable) return { ok: false, says: error.message };
    throw error;
  }
}
