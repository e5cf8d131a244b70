/**
 * Reads an untrusted object as a command: every field known and of the right shape, and nothing that a
 * record could not hold (a fraction, an id on two lines, a name that JavaScript keeps for itself).
 */
import { LAPSES, type Lapse } from '../checklist/model.ts';
import type { RevisionEdit } from '../checklist/revision-edits.ts';
import { isDate } from '../measure/dates.ts';
import type { Command, NewPerson, Order } from './commands.ts';
import { rangeProblem, type MeterRange } from '../measure/meter-ranges.ts';
import type { Instrument, JoinedHow, LeftOpen } from './events.ts';
import {
  amount,
  count,
  digest,
  fail,
  id,
  list,
  number,
  object,
  optionalText,
  plain,
  text,
  texts,
  Unusable,
  type Json,
} from './fields.ts';
import { decimal, resultOf } from './parse-result.ts';

export type ParsedCommand =
  { readonly ok: true; readonly command: Command } | { readonly ok: false; readonly says: string };

function person(value: unknown, where: string): NewPerson {
  if (typeof value === 'string') return { id: id(value, where), competence: [] };
  const given = object(value, where, ['id', 'name', 'competence']);
  const name = optionalText(given.name, `${where}.name`);
  return {
    id: id(given.id, `${where}.id`),
    competence: texts(given.competence, `${where}.competence`),
    ...(name === undefined ? {} : { name }),
  };
}

function joinedHow(value: unknown): JoinedHow {
  const { by } = object(value, 'hand');
  if (by === 'pin') return { by, ...object(value, 'hand', ['by']) };
  if (by !== 'code') return fail('“hand.by” has to be “pin” or “code”.');
  const given = object(value, 'hand', ['by', 'own', 'nonce', 'until', 'signature']);
  const field = (name: string) => id(given[name], `hand.${name}`);
  const [own, nonce] = [field('own'), field('nonce')];
  return { by, own, nonce, until: field('until'), signature: field('signature') };
}

const CARD = ['id', 'category', 'volts', 'due', 'percent', 'counts', 'ranges'];

function meterRange(value: unknown, where: string): MeterRange {
  const given = object(value, where, ['upTo', 'one', 'percent', 'counts']);
  const range = {
    upTo: text(given.upTo, `${where}.upTo`),
    one: text(given.one, `${where}.one`),
    percent: decimal(given.percent, `${where}.percent`),
    counts: count(given.counts, `${where}.counts`),
  };
  const problem = rangeProblem(range);
  return problem === null ? range : fail(`“${where}”: ${problem}`);
}

function instrument(value: unknown, where: string): Instrument {
  const given = object(value, where, CARD);
  const { volts, percent, counts, ranges } = given;
  return {
    id: id(given.id, `${where}.id`),
    category: optionalText(given.category, `${where}.category`) ?? '',
    volts: volts === undefined ? '' : decimal(volts, `${where}.volts`).replace(/\s*V$/, ''),
    due: optionalText(given.due, `${where}.due`) ?? '',
    percent: percent === undefined ? '' : decimal(percent, `${where}.percent`),
    counts: counts === undefined ? 0 : count(counts, `${where}.counts`),
    ...(ranges === undefined
      ? {}
      : {
          ranges: list(ranges, `${where}.ranges`).map((each, at) =>
            meterRange(each, `${where}.ranges[${at}]`),
          ),
        }),
  };
}

const people = (value: unknown) =>
  list(value, 'people').map((each, at) => person(each, `people[${at}]`));

function leftOpen(value: unknown): LeftOpen[] {
  return list(value, 'left').map((each, at) => {
    const given = object(each, `left[${at}]`, ['end', 'insulated', 'why']);
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

function revisionEdits(value: unknown): RevisionEdit[] {
  return list(value, 'edits').map((each, at) => {
    const where = `edits[${at}]`;
    const given = object(each, where, ['at', 'to']);
    const place = texts(given.at, `${where}.at`);
    if (place.length === 0 || place.length > 12) fail(`${where}.at has to name a place.`);
    return given.to === undefined
      ? { at: place }
      : { at: place, to: plain(given.to, `${where}.to`) };
  });
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

const pictures = (value: unknown, where: string) =>
  list(value, where).map((each, at) => digest(each, `${where}[${at}]`));

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
            head: digest(previous.head, 'previous.head'),
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
      minutes: (value, where) => Math.ceil(amount(value, where)),
      step: text,
    }),
  join: (given) => ({
    command: 'join',
    person: person(given.person, 'person'),
    ...(given.hand === undefined ? {} : { hand: joinedHow(given.hand) }),
  }),
  leave: (given) => ({ command: 'leave', person: person(given.person, 'person').id }),
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
      { lock: number },
    ),
  resume: () => ({ command: 'resume' }),
  handOver: (given) =>
    withOptional({ command: 'handOver' as const, to: id(given.to, 'to') }, given, {
      lock: number,
      walked: texts,
    }),
  rebase: (given) => ({
    command: 'rebase',
    sha256: digest(given.sha256, 'sha256'),
    edits: revisionEdits(given.edits),
    why: words(given.why),
  }),
  removeLockFor: (given) =>
    withOptional(
      {
        command: 'removeLockFor' as const,
        lock: number(given.lock, 'lock'),
        away: stated(given.away),
        tried: texts(given.tried, 'tried'),
        informed: stated(given.informed),
        authorizedBy: words(given.authorizedBy),
      },
      given,
      { photos: pictures },
    ),
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
  amend: (given) =>
    withOptional(
      { command: 'amend' as const, about: words(given.about), text: words(given.text) },
      given,
      { acted: at, photos: pictures },
    ),
};

/** Every field of any command: one that stands in none of them is a slip of the pen. */
const KNOWN: ReadonlySet<string> = new Set(
  (
    'command at mono boot by site people instruments demo previous step result acted why what source ' +
    'instrument minutes person reason readBack again as told owner until left lock to away tried informed ' +
    'authorizedBy about text walked photos sha256 edits hand'
  ).split(' '),
);

const TIME =
  /^(\d{4}-\d{2}-\d{2})T([01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d{1,9})?(?:Z|[+-]([01]\d|2[0-3]):[0-5]\d)$/;

function at(value: unknown, where = 'at'): string {
  const said = text(value, where);
  return isDate(TIME.exec(said)?.[1] ?? '')
    ? said
    : fail(`“${where}” has to be a time with its offset, such as 2026-11-25T10:42:07-05:00.`);
}

const BOOT = /^[A-Za-z0-9_-]{1,64}$/;

function boot(value: unknown): string {
  if (value === undefined || value === null) return 'boot';
  const said = number(value, 'boot');
  return BOOT.test(said) ? said : fail('“boot” has to be an id of at most 64 plain characters.');
}

/** Reads one command; what is wrong is said in one sentence that names the field. */
export function parseCommand(value: unknown): ParsedCommand {
  try {
    const given = object(value, 'A command');
    const name = text(given.command, 'command');
    const read = Object.hasOwn(ORDERS, name) ? ORDERS[name] : undefined;
    if (!read)
      return fail(`“${name}” is no command; there are: ${Object.keys(ORDERS).join(', ')}.`);
    const strange = Object.keys(given).find((field) => !KNOWN.has(field));
    if (strange !== undefined) return fail(`“${strange}” is not a field of a command.`);
    const stamp = {
      at: at(given.at),
      mono: Math.floor(amount(given.mono, 'mono')),
      boot: boot(given.boot),
      by: id(given.by, 'by'),
    };
    return { ok: true, command: { ...stamp, ...read(given) } };
  } catch (error) {
    if (error instanceof Unusable) return { ok: false, says: error.message };
    throw error;
  }
}
