/**
 * Private values as salted disclosures (RFC 9901 sections 4.2.1 and 4.2.3).
 *
 * The entry holds only digests; the disclosures are kept beside the record. Deleting one leaves every
 * signature and every hash good, and without its 128-bit salt a digest cannot be guessed back.
 */
import { base64url, fromBase64url, textOf, utf8 } from './bytes.ts';
import { canonicalText } from './canonical.ts';
import type { Json } from './canonical.ts';
import { flawed, good } from './outcome.ts';
import type { Outcome } from './outcome.ts';
import type { Primitives } from './primitives.ts';

export interface Disclosure {
  readonly salt: string;
  readonly name: string;
  readonly value: Json;
  /** What is hashed and handed on: Base 64 without padding of the JSON array [salt, name, value]. */
  readonly encoded: string;
  /** Base 64 without padding of the SHA-256 of `encoded`. */
  readonly digest: string;
}

/** Bytes of salt in each disclosure: the 128 bits that RFC 9901 section 9.3 recommends. */
export const SALT_BYTES = 16;

/**
 * Makes the disclosures of private values, each with its own salt.
 * @param salt gives 16 fresh random bytes at each call.
 * @returns the disclosures, and their digests sorted as `_sd` wants them.
 */
export function discloseAll(
  values: Readonly<Record<string, Json>>,
  salt: () => Uint8Array,
  primitives: Pick<Primitives, 'sha256'>,
): { readonly disclosures: readonly Disclosure[]; readonly digests: readonly string[] } {
  const disclosures = Object.keys(values)
    .sort()
    .map((name): Disclosure => {
      const bytes = salt();
      if (bytes.length !== SALT_BYTES) throw new RangeError(`A salt has ${SALT_BYTES} bytes.`);
      const salted = base64url(bytes);
      const value = values[name] ?? null;
      const encoded = base64url(utf8(canonicalText([salted, name, value])));
      return { salt: salted, name, value, encoded, digest: digestOf(encoded, primitives) };
    });
  return { disclosures, digests: disclosures.map(({ digest }) => digest).sort() };
}

/** The digest of an encoded disclosure, as it stands in `_sd`. */
export function digestOf(encoded: string, primitives: Pick<Primitives, 'sha256'>): string {
  return base64url(primitives.sha256(utf8(encoded)));
}

/** Reads an encoded disclosure of a named value. White space inside is allowed: the digest covers it. */
export function readDisclosure(
  encoded: string,
  primitives: Pick<Primitives, 'sha256'>,
): Outcome<Disclosure> {
  const read = disclosedIn(encoded);
  return read.ok ? good({ ...read.value, encoded, digest: digestOf(encoded, primitives) }) : read;
}

/** What an encoded disclosure says, without its digest: for a list, which proves nothing. */
export function disclosedIn(encoded: string): Outcome<Pick<Disclosure, 'salt' | 'name' | 'value'>> {
  const bytes = encoded.length > 64 * 1024 ? null : fromBase64url(encoded);
  const text = bytes === null ? null : textOf(bytes);
  if (text === null) {
    return flawed('bad-disclosure', 'The disclosure is not Base 64 of at most 64 KiB of UTF-8.');
  }
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return flawed('bad-disclosure', 'The disclosure is not JSON.');
  }
  if (!Array.isArray(value) || value.length !== 3) {
    return flawed('bad-disclosure', 'The disclosure is not an array of salt, name and value.');
  }
  const [salt, name, disclosed] = value as [Json, Json, Json];
  if (typeof salt !== 'string' || typeof name !== 'string') {
    return flawed('bad-disclosure', 'The salt and the name of the disclosure are not both text.');
  }
  return good({ salt, name, value: disclosed });
}

/** One line of `disclosures.jsonl`: which entry the disclosure belongs to. */
export interface KeptDisclosure extends Disclosure {
  readonly seq: number;
}

/** The line of `disclosures.jsonl`, without its line feed. */
export function disclosureLine(seq: number, encoded: string): string {
  return canonicalText({ disclosure: encoded, seq });
}
