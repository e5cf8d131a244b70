/**
 * One entry of the record: its fields, and the checks of its form.
 *
 * Written by hand rather than from a schema: a verifier reads a hundred thousand of these, and the
 * checks must not cost more than a tenth of the signature.
 */
import type { Json } from './canonical.ts';
import { instantOf } from './instant.ts';
import { flawed, good } from './outcome.ts';
import type { Outcome } from './outcome.ts';
import { isThumbprint } from './thumbprint.ts';
import { isUuidV7 } from './uuid.ts';

export const FORMAT_VERSION = 1;

/** The closed list of what an entry can say. A reader that meets another fails closed. */
export const ENTRY_TYPES = [
  'job.opened',
  'person.joined',
  'person.left',
  'caution.read',
  'step.done',
  'step.notDone',
  'step.corrected',
  'try.refused',
  'fact.lapsed',
  'window.opened',
  'window.closed',
  'job.parked',
  'job.resumed',
  'job.handedOver',
  'job.rebased',
  'lock.removedFor',
  'tingle',
  'nearMiss',
  'tools.down',
  'job.refused',
  'evidence.held',
  'clock.noted',
  'program.noted',
  'disclosure.erased',
  'key.rotated',
  'job.closed',
  'amended',
] as const;
export type EntryType = (typeof ENTRY_TYPES)[number];

export type Body = { readonly [name: string]: Json };

/** The newest server checkpoint this device had verified: a lower bound in time. */
export interface Seen {
  readonly origin: string;
  /** Base 64, as the checkpoint writes it. */
  readonly root: string;
  readonly size: number;
}

export interface Entry {
  /** Digests of private values, sorted, never empty. */
  readonly _sd?: readonly string[];
  /** Program version and build; never changes within a job. */
  readonly app: string;
  /** Wall clock, RFC 3339 with its offset. */
  readonly at: string;
  readonly body: Body;
  /** Random id of one run of the running clock. */
  readonly boot: string;
  readonly by: string;
  /** UUID version 7 of the job. */
  readonly job: string;
  /** RFC 7638 thumbprint of the signing key. */
  readonly key: string;
  /** Running clock, whole milliseconds since `boot`. */
  readonly mono: number;
  /** Hash of the entry before, hex; 64 zeros at `seq` 0. */
  readonly prev: string;
  /** SHA-256 of the rule set in force, hex; never changes within a job. */
  readonly rules: string;
  readonly seen?: Seen;
  /** 0, 1, 2 … without holes. */
  readonly seq: number;
  readonly type: EntryType;
  readonly v: typeof FORMAT_VERSION;
}

/** Prev of the first entry. */
export const NO_PREV = '0'.repeat(64);

const TYPES: ReadonlySet<string> = new Set(ENTRY_TYPES);
const HASH = /^[0-9a-f]{64}$/;
const APP = /^[A-Za-z0-9.+_-]{1,64}$/;
const BOOT = /^[A-Za-z0-9_-]{1,64}$/;
const ROOT = /^[A-Za-z0-9+/]{42}[AEIMQUYcgkosw048]=$/;
/** One line of text that a person or a log is named by. */
// eslint-disable-next-line no-control-regex -- control characters are what this refuses
const NAME = /^[^\u0000-\u001f\u007f-\u009f\u2028\u2029]{1,128}$/;

const isText =
  (form: RegExp) =>
  (value: Json): boolean =>
    typeof value === 'string' && form.test(value);

const isCount = (value: Json): boolean => Number.isSafeInteger(value) && (value as number) >= 0;

function isObject(value: Json | undefined): value is Body {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/**
 * The same answer, given at once for the text that was accepted last: in one record the key, the person, the
 * program and the job hardly change from entry to entry.
 */
function sameAsLast(fits: (value: string) => boolean): (value: Json) => boolean {
  let last: string | null = null;
  return (value) => {
    if (value === last) return true;
    if (typeof value !== 'string' || !fits(value)) return false;
    last = value;
    return true;
  };
}

interface Field {
  readonly fits: (value: Json) => boolean;
  readonly wants: string;
  readonly optional?: boolean;
}

const FIELDS: Readonly<Record<keyof Entry, Field>> = {
  _sd: { fits: areDigests, wants: 'a sorted list of digests without repeats', optional: true },
  app: {
    fits: sameAsLast((value) => APP.test(value)),
    wants: 'a program version of at most 64 plain characters',
  },
  at: {
    fits: (value) => typeof value === 'string' && instantOf(value) !== null,
    wants: 'an RFC 3339 time with its offset',
  },
  body: { fits: isObject, wants: 'an object' },
  boot: {
    fits: sameAsLast((value) => BOOT.test(value)),
    wants: 'an id of at most 64 plain characters',
  },
  by: { fits: sameAsLast((value) => NAME.test(value)), wants: 'the id of a person on one line' },
  job: {
    fits: sameAsLast(isUuidV7),
    wants: 'a version 7 UUID in lower case',
  },
  key: {
    fits: sameAsLast(isThumbprint),
    wants: 'the thumbprint of a key, 43 characters',
  },
  mono: { fits: isCount, wants: 'whole milliseconds, not negative' },
  prev: { fits: isText(HASH), wants: '64 characters of lower-case hex' },
  rules: {
    fits: sameAsLast((value) => HASH.test(value)),
    wants: '64 characters of lower-case hex',
  },
  seen: { fits: isSeen, wants: 'a checkpoint: origin, root and size', optional: true },
  seq: { fits: isCount, wants: 'a whole number, not negative' },
  type: { fits: (value) => typeof value === 'string' && TYPES.has(value), wants: 'a known type' },
  v: { fits: (value) => value === FORMAT_VERSION, wants: String(FORMAT_VERSION) },
};
const FIELD_LIST = Object.entries(FIELDS);

function areDigests(value: Json): boolean {
  if (!Array.isArray(value) || value.length === 0) return false;
  let last = '';
  for (const digest of value as readonly Json[]) {
    if (typeof digest !== 'string' || !isThumbprint(digest) || digest <= last) return false;
    last = digest;
  }
  return true;
}

function isSeen(value: Json): boolean {
  return (
    isObject(value) &&
    Object.keys(value).length === 3 &&
    isText(NAME)(value['origin'] ?? null) &&
    isText(ROOT)(value['root'] ?? null) &&
    isCount(value['size'] ?? null)
  );
}

/** Checks the form of an entry that was already read as canonical JSON. */
export function checkedEntry(value: Json | undefined): Outcome<Entry> {
  if (!isObject(value)) return flawed('bad-field', 'The entry is not an object.');
  const version = value['v'];
  if (version !== FORMAT_VERSION) {
    return flawed(
      'unknown-version',
      `The entry is of format version ${JSON.stringify(version ?? null)}, and this program reads version ${FORMAT_VERSION}. Update to read it.`,
    );
  }
  const type = value['type'];
  if (typeof type === 'string' && !TYPES.has(type)) {
    return flawed(
      'unknown-type',
      `The entry is of the type ${JSON.stringify(type)}, which this program does not know. Update to read it.`,
    );
  }
  let present = 0;
  for (const [name, field] of FIELD_LIST) {
    const found = value[name];
    if (found === undefined) {
      if (field.optional === true) continue;
      return flawed('missing-field', `The entry has no “${name}”; it wants ${field.wants}.`);
    }
    if (!field.fits(found)) return flawed('bad-field', `“${name}” is not ${field.wants}.`);
    present += 1;
  }
  if (present !== Object.keys(value).length) {
    const extra = Object.keys(value).find((name) => !Object.hasOwn(FIELDS, name));
    return flawed('unknown-field', `The entry has a field “${extra}” that no version 1 entry has.`);
  }
  return good(value as unknown as Entry);
}
