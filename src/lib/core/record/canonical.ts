/**
 * Canonical JSON (RFC 8785) and its strict reader.
 *
 * Untrusted: the bytes given to `parseCanonical`. They are bounded in length before anything is done with them
 * and in depth by whatever is recursive here; the platform's reader keeps a stack of its own. They are accepted only if writing the value again gives the same bytes. That
 * one comparison refuses duplicate keys, white space, a byte order mark, `-0`, `1e3`, `1.0`, integers
 * beyond 2^53-1 and needless escapes.
 */
import { textOf, utf8 } from './bytes.ts';
import { flawed, good } from './outcome.ts';
import type { FlawCode, Outcome } from './outcome.ts';

export type Json =
  null | boolean | number | string | readonly Json[] | { readonly [name: string]: Json };

/** Deepest nesting that `canonicalText` writes; far above any bound of the readers. */
const DEEPEST = 1000;

/**
 * The RFC 8785 text of a JSON value: names sorted by UTF-16 code unit, numbers as ECMAScript writes
 * them, nothing escaped that need not be.
 * @throws TypeError for what JSON cannot hold: NaN, infinities, lone surrogates, `undefined`, bigint,
 *   functions, symbols, and nesting beyond 1000 (or without end).
 */
export function canonicalText(value: unknown, depth = 0): string {
  if (depth > DEEPEST) throw new TypeError('The value is nested too deeply for canonical JSON.');
  if (value === null || value === true || value === false) return String(value);
  if (typeof value === 'string') return quoted(value);
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) throw new TypeError(`Canonical JSON cannot hold ${value}.`);
    return String(value);
  }
  if (typeof value !== 'object')
    throw new TypeError(`Canonical JSON cannot hold a ${typeof value}.`);
  if (Array.isArray(value)) {
    return `[${value.map((item: unknown) => canonicalText(item, depth + 1)).join(',')}]`;
  }
  const members = value as Readonly<Record<string, unknown>>;
  const names = Object.keys(members).sort();
  return `{${names
    .map((name) => `${quoted(name)}:${canonicalText(members[name], depth + 1)}`)
    .join(',')}}`;
}

/**
 * A copy of a value with its names in canonical order: the platform's own writer then gives the RFC 8785
 * text, several times faster than `canonicalText`. Undefined for everything that the profile of the record
 * refuses, and for names that begin with a digit, which an object keeps in an order of its own; the long
 * way then says why, or writes it.
 * @param depth how many levels of arrays and objects there may be, this one included
 */
export function inOrder(value: unknown, depth: number): Json | undefined {
  if (typeof value === 'string') return value.isWellFormed() ? value : undefined;
  if (typeof value === 'number') return Number.isSafeInteger(value) ? value + 0 : undefined;
  if (value === null || typeof value === 'boolean') return value;
  if (typeof value !== 'object' || depth === 0) return undefined;
  if (Array.isArray(value)) return listInOrder(value as readonly unknown[], depth);
  const members = value as Readonly<Record<string, unknown>>;
  const names = Object.keys(members);
  if (!isSorted(names)) names.sort();
  const copy: Record<string, Json> = {};
  for (const name of names) {
    const first = name.charCodeAt(0);
    if ((first >= 0x30 && first <= 0x39) || BAD_NAMES.has(name) || !name.isWellFormed()) return;
    const member = inOrder(members[name], depth - 1);
    if (member === undefined) return undefined;
    copy[name] = member;
  }
  return copy;
}

function listInOrder(list: readonly unknown[], depth: number): Json | undefined {
  const copy: Json[] = [];
  for (const item of list) {
    const member = inOrder(item, depth - 1);
    if (member === undefined) return undefined;
    copy.push(member);
  }
  return copy;
}

function isSorted(names: readonly string[]): boolean {
  for (let at = 1; at < names.length; at += 1)
    if ((names[at - 1] ?? '') > (names[at] ?? '')) return false;
  return true;
}

/** The RFC 8785 bytes of a JSON value; throws as `canonicalText` does. */
export function canonicalBytes(value: unknown): Uint8Array {
  return utf8(canonicalText(value));
}

function quoted(text: string): string {
  if (!text.isWellFormed()) {
    throw new TypeError('Canonical JSON cannot hold half of a surrogate pair.');
  }
  return JSON.stringify(text);
}

export interface Bounds {
  /** Most bytes. */
  readonly bytes: number;
  /** Deepest nesting of arrays and objects; the outermost one counts as 1. */
  readonly depth: number;
  /** `integers`: the profile of the record, whole numbers up to 2^53-1 only. */
  readonly numbers: 'integers' | 'any';
}

/** The bounds of one line of a record. */
export const LINE_BOUNDS: Bounds = { bytes: 32 * 1024, depth: 16, numbers: 'integers' };

/** Reads bytes that must be canonical JSON within the bounds; the value, or why they are refused. */
export function parseCanonical(bytes: Uint8Array, bounds: Bounds): Outcome<Json> {
  if (bytes.length > bounds.bytes) {
    return flawed(
      'too-long',
      `It is ${bytes.length} bytes long; at most ${bounds.bytes} are read.`,
    );
  }
  const text = textOf(bytes);
  if (text === null) return refused(bytes, bounds, 'not-utf8', 'It is not valid UTF-8.');
  let value: Json;
  try {
    value = JSON.parse(text) as Json;
  } catch {
    return refused(bytes, bounds, 'not-json', 'It is not valid JSON.');
  }
  const found = inspect(value, bounds.depth, {
    integers: bounds.numbers === 'integers',
    // Strict UTF-8 holds no half pair, so that only an escape can name one.
    surrogates: text.includes('\\u'),
  });
  if (found === 'not-plain' || found === 'too-deep')
    return refused(bytes, bounds, found, PROFILE_SAYS[found]);
  // Sorted already: the platform's own writer gives the canonical text, several times faster.
  const again = found === 'sorted' ? JSON.stringify(value) : canonicalText(value);
  if (again !== text) {
    const from = firstDifference(again, text);
    const says = `It is not in canonical form from character ${from} on: white space, names out of order or twice, a needless escape, or a number spelt another way.`;
    return refused(bytes, bounds, 'not-canonical', says);
  }
  return good(value);
}

/** What lies too deep is called that, whatever else is wrong with it, even where a second name hides it. */
function refused(bytes: Uint8Array, { depth }: Bounds, code: FlawCode, says: string) {
  if (!deeperThan(bytes, depth)) return flawed(code, says);
  return flawed('too-deep', `It is nested deeper than ${depth} levels.`);
}

const PROFILE_SAYS = {
  'too-deep': 'It is nested too deeply.',
  'not-plain':
    'It holds a number with a fraction, an exponent or too many digits, half of a surrogate pair, or a reserved name.',
} as const satisfies Partial<Record<FlawCode, string>>;

const BAD_NAMES: ReadonlySet<string> = new Set(['__proto__', 'constructor', 'prototype']);

type Inspection = 'sorted' | 'unsorted' | keyof typeof PROFILE_SAYS;

interface Wanted {
  readonly integers: boolean;
  readonly surrogates: boolean;
}

/** @param depth how many levels of arrays and objects there may be, this one included */
function inspect(value: Json, depth: number, wanted: Wanted): Inspection {
  if (typeof value === 'string') {
    return wanted.surrogates && !value.isWellFormed() ? 'not-plain' : 'sorted';
  }
  if (typeof value === 'number') {
    return wanted.integers && !Number.isSafeInteger(value) ? 'not-plain' : 'sorted';
  }
  if (value === null || typeof value === 'boolean') return 'sorted';
  if (depth === 0) return 'too-deep';
  let sorted: Inspection = 'sorted';
  if (Array.isArray(value)) {
    for (const item of value as readonly Json[]) {
      const found = inspect(item, depth - 1, wanted);
      if (found === 'not-plain' || found === 'too-deep') return found;
      if (found === 'unsorted') sorted = found;
    }
    return sorted;
  }
  const members = value as { readonly [name: string]: Json };
  let last = '';
  for (const name of Object.keys(members)) {
    if (BAD_NAMES.has(name)) return 'not-plain';
    if (wanted.surrogates && !name.isWellFormed()) return 'not-plain';
    if (name < last) sorted = 'unsorted';
    last = name;
    const found = inspect(members[name] as Json, depth - 1, wanted);
    if (found === 'not-plain' || found === 'too-deep') return found;
    if (found === 'unsorted') sorted = found;
  }
  return sorted;
}

const QUOTE = 0x22;
const BACKSLASH = 0x5c;

const BRACE = 0x7b;
const BRACKET = 0x5b;

function deeperThan(bytes: Uint8Array, most: number): boolean {
  // Fewer openings than levels allowed, wherever they stand: nothing more to count.
  if (!hasMoreThan(bytes, most)) return false;
  let depth = 0;
  let inText = false;
  for (let at = 0; at < bytes.length; at += 1) {
    const byte = bytes[at];
    if (inText) {
      if (byte === BACKSLASH) at += 1;
      else if (byte === QUOTE) inText = false;
    } else if (byte === QUOTE) {
      inText = true;
    } else if (byte === BRACE || byte === BRACKET) {
      depth += 1;
      if (depth > most) return true;
    } else if (byte === 0x7d || byte === 0x5d) {
      depth -= 1;
    }
  }
  return false;
}

function hasMoreThan(bytes: Uint8Array, most: number): boolean {
  let count = 0;
  // The platform's own search: ten times as fast as looking at each byte here.
  for (const opening of [BRACE, BRACKET])
    for (let at = bytes.indexOf(opening); at !== -1; at = bytes.indexOf(opening, at + 1)) {
      count += 1;
      if (count > most) return true;
    }
  return false;
}

function firstDifference(one: string, other: string): number {
  let at = 0;
  while (at < one.length && one[at] === other[at]) at += 1;
  return at + 1;
}
