/**
 * Reads what was handed in with a step: every field known and of the right shape. Measured values may come
 * as numbers or as text, with the unit beside or behind; they leave as the text that was written.
 */
import type { ConnectorLabel, MeterCheck, Shown, StepResult } from './events.ts';
import {
  count,
  digest,
  fail,
  id,
  ids,
  list,
  number,
  object,
  optionalText,
  text,
  texts,
  whole,
} from './fields.ts';

/** A measured value as it was written. */
export function decimal(value: unknown, where: string): string {
  if (typeof value === 'number') {
    return Number.isFinite(value) ? String(value) : fail(`${where} is not an ordinary number.`);
  }
  return text(value, where).trim();
}

/** A figure and the unit behind it, such as 27.4 ohm. */
const FIGURE = /^([+\u2212-]?[\d.]+(?:[eE][+-]?\d+)?)(?![\d.])\s*([^\s\d].*)$/u;

function split(said: string): Shown | undefined {
  const [, value, unit] = FIGURE.exec(said) ?? [];
  return value === undefined || unit === undefined ? undefined : { value, unit };
}

function shown(value: unknown, where: string): Shown {
  if (typeof value === 'string') return split(value.trim()) ?? { value: value.trim(), unit: '' };
  const given = object(value, where, ['value', 'unit']);
  const said = decimal(given.value, `${where}.value`);
  const unit = optionalText(given.unit, `${where}.unit`);
  return unit === undefined ? (split(said) ?? { value: said, unit: '' }) : { value: said, unit };
}

const RESERVED = ['__proto__', 'constructor', 'prototype'];

function pairs(value: unknown, where: string): Readonly<Record<string, Shown>> {
  const read = Object.entries(object(value, where)).map(([pair, each]) => {
    if (RESERVED.includes(pair) || !pair.isWellFormed() || pair.length > 64) {
      return fail(`${where} holds a pair of no usable name.`);
    }
    return [pair, shown(each, `${where}.${pair}`)] as const;
  });
  return Object.fromEntries(read);
}

function check(value: unknown, where: string): MeterCheck {
  const given = object(value, where, ['expected', 'shown', 'unit']);
  return {
    expected: decimal(given.expected, `${where}.expected`),
    shown: decimal(given.shown, `${where}.shown`),
    unit: text(given.unit, `${where}.unit`),
  };
}

function pin(value: unknown, where: string): NonNullable<ConnectorLabel['pin']> {
  const given = object(value, where, ['photo', 'x', 'y']);
  return {
    photo: digest(given.photo, `${where}.photo`),
    x: count(given.x, `${where}.x`),
    y: count(given.y, `${where}.y`),
  };
}

function connector(value: unknown, where: string): ConnectorLabel {
  const given = object(value, where, ['id', 'label', 'terminal', 'wire', 'pin']);
  const named = id(given.id, `${where}.id`);
  const wire = optionalText(given.wire, `${where}.wire`);
  return {
    id: named,
    label: optionalText(given.label, `${where}.label`) ?? named,
    terminal: optionalText(given.terminal, `${where}.terminal`) ?? '',
    ...(wire === undefined ? {} : { wire }),
    ...(given.pin === undefined ? {} : { pin: pin(given.pin, `${where}.pin`) }),
  };
}

/** Readers for the fields that a step's result may hold. */
const RESULT_FIELDS: Readonly<Record<string, (value: unknown, where: string) => unknown>> = {
  photos: (value, where) => list(value, where).map((each, at) => digest(each, `${where}[${at}]`)),
  sources: whole,
  option: text,
  operated: text,
  lock: number,
  tag: text,
  measure: text,
  value: decimal,
  unit: text,
  instrument: text,
  pairs,
  before: check,
  after: check,
  rest: text,
  pressed: text,
  connectors: (value, where) =>
    list(value, where).map((each, at) => connector(each, `${where}[${at}]`)),
  connector: id,
  people: ids,
  tools: count,
  language: text,
  told: texts,
  directory: text,
  position: number,
};

export function resultOf(value: unknown): StepResult {
  const given = value === undefined || value === null ? {} : object(value, 'result');
  const fields = Object.entries(given).map(([name, each]) => {
    const read = Object.hasOwn(RESULT_FIELDS, name) ? RESULT_FIELDS[name] : undefined;
    if (!read) return fail(`“result.${name}” is not a field of a result.`);
    return [name, read(each, `result.${name}`)] as const;
  });
  const result = Object.fromEntries(fields) as StepResult;
  const apart = result.unit === undefined ? split(result.value ?? '') : undefined;
  return apart ? { ...result, ...apart } : result;
}
