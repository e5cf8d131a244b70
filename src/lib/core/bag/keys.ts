/**
 * Lists of keys: `keys.json` of a record or a bag, and the trust list that a verifier brings along.
 * Both have one form; a trust list may also name logs and time-stamping authorities.
 */
import { base64url, fromBase64, fromBase64url, textOf } from '../record/bytes.ts';
import { canonicalBytes, parseCanonical } from '../record/canonical.ts';
import type { Json } from '../record/canonical.ts';
import { checkedKey } from '../record/ed25519.ts';
import { instantOf } from '../record/instant.ts';
import { isNoteName } from '../record/notes.ts';
import type { NoteKey } from '../record/notes.ts';
import { flawed, good } from '../record/outcome.ts';
import type { Outcome } from '../record/outcome.ts';
import type { Primitives } from '../record/primitives.ts';
import { thumbprintOf } from '../record/thumbprint.ts';

export interface KnownKey {
  /** RFC 7638 thumbprint. */
  readonly key: string;
  /** 32 bytes, accepted by `checkedKey`. */
  readonly publicKey: Uint8Array;
  /** Whose: the id that `by` holds. */
  readonly person: string;
  /** Since when, RFC 3339 with offset. */
  readonly since: string;
  /** Person id of who enrolled it; the person's own where nobody else was there. */
  readonly enrolledBy: string;
  /** `entries`: signs entries (and may export); `export`: only seals bags. */
  readonly use: 'entries' | 'export';
}

export interface KeyList {
  readonly keys: readonly KnownKey[];
  /** Servers whose receipts are believed: the origin as name. */
  readonly logs: readonly NoteKey[];
  /** Certificates of time-stamping authorities, DER. */
  readonly authorities: readonly Uint8Array[];
}

/** The bytes of `keys.json`: canonical, sorted by thumbprint. */
export function keyListBytes(keys: readonly KnownKey[]): Uint8Array {
  const sorted = [...keys].sort((one, other) => (one.key < other.key ? -1 : 1));
  return canonicalBytes({
    keys: sorted.map(({ key, publicKey, person, since, enrolledBy, use }) => {
      return { enrolledBy, key, person, public: base64url(publicKey), since, use };
    }),
    v: 1,
  });
}

const MOST_KEYS = 1000;

/** Reads `keys.json` of a record or bag, which must be canonical. */
export function readKeyList(
  bytes: Uint8Array,
  primitives: Pick<Primitives, 'sha256'>,
): Outcome<KeyList> {
  const read = parseCanonical(bytes, { bytes: 1024 * 1024, depth: 8, numbers: 'integers' });
  return read.ok ? keyListOf(read.value, primitives) : read;
}

/** Reads a trust list, which a person may have written: any JSON of the form. */
export function readTrust(
  bytes: Uint8Array,
  primitives: Pick<Primitives, 'sha256'>,
): Outcome<KeyList> {
  const text = bytes.length > 4 * 1024 * 1024 ? null : textOf(bytes);
  if (text === null)
    return flawed('not-utf8', 'The list of keys is not UTF-8 text of up to 4 MiB.');
  try {
    return keyListOf(JSON.parse(text) as Json, primitives);
  } catch {
    return flawed('not-json', 'The list of keys is not valid JSON.');
  }
}

type Members = { readonly [name: string]: Json };

function members(value: Json | undefined): Members | null {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
    ? (value as Members)
    : null;
}

function keyListOf(value: Json, primitives: Pick<Primitives, 'sha256'>): Outcome<KeyList> {
  const list = members(value);
  const keys = list?.['keys'];
  if (list === null || !Array.isArray(keys) || keys.length > MOST_KEYS || list['v'] !== 1) {
    return flawed('bad-field', 'A list of keys is {"keys": […], "v": 1} with at most 1000 keys.');
  }
  const known: KnownKey[] = [];
  for (const item of keys as readonly Json[]) {
    const read = keyOf(members(item), primitives);
    if (!read.ok) return flawed(read.flaw.code, `Key ${known.length + 1}: ${read.flaw.says}`);
    if (known.some(({ key }) => key === read.value.key)) {
      return flawed('bad-key', `The key ${read.value.key} is listed twice.`);
    }
    known.push(read.value);
  }
  const logs = listOf(list['logs'], (item) => logOf(members(item)));
  const authorities = listOf(list['authorities'], (item) =>
    typeof item === 'string' ? fromBase64(item) : null,
  );
  if (logs === null || authorities === null) {
    return flawed(
      'bad-field',
      '“logs” holds {"origin", "public"} and “authorities” holds certificates in Base 64.',
    );
  }
  return good({ keys: known, logs, authorities });
}

function listOf<T>(value: Json | undefined, read: (item: Json) => T | null): readonly T[] | null {
  if (value === undefined) return [];
  if (!Array.isArray(value)) return null;
  const items = (value as readonly Json[]).map(read);
  return items.every((item) => item !== null) ? (items as T[]) : null;
}

function logOf(item: Members | null): NoteKey | null {
  const [name, text] = [item?.['origin'], item?.['public']];
  if (typeof name !== 'string' || typeof text !== 'string' || !isNoteName(name)) return null;
  const publicKey = fromBase64url(text);
  return publicKey !== null && checkedKey(publicKey).ok ? { name, publicKey } : null;
}

function keyOf(item: Members | null, primitives: Pick<Primitives, 'sha256'>): Outcome<KnownKey> {
  const field = (name: string): string => {
    const found = item?.[name];
    return typeof found === 'string' ? found : '';
  };
  const publicKey = fromBase64url(field('public'));
  if (item === null || publicKey === null) {
    return flawed('bad-field', '“public” is not a key in Base 64 without padding.');
  }
  const checked = checkedKey(publicKey);
  if (!checked.ok) return checked;
  const key = field('key');
  if (key !== thumbprintOf(publicKey, primitives)) {
    return flawed('bad-key', `“${key}” is not the thumbprint of its public key.`);
  }
  const [person, since, enrolledBy, use] = ['person', 'since', 'enrolledBy', 'use'].map(field);
  if (!person || !enrolledBy || !since || instantOf(since) === null) {
    return flawed(
      'bad-field',
      `“${key}” does not say whose it is, since when, and who enrolled it.`,
    );
  }
  if (use !== 'entries' && use !== 'export') {
    return flawed('bad-field', `“use” of “${key}” is neither “entries” nor “export”.`);
  }
  return good({ key, publicKey, person, since, enrolledBy, use });
}
