/**
 * Sealing an entry into a line of the record, and reading a line back.
 *
 * A line is `{"entry":{…},"sig":"…"}` in canonical form. The signature is Ed25519 over the DSSE
 * pre-authentication encoding of the canonical bytes of the entry, which stand in the line as they
 * were signed. The hash of a line is the RFC 6962 leaf hash: it is `prev`, the idempotency key and the
 * leaf of the server's tree in one.
 */
import { base64url, fromBase64url, hex, utf8, utf8Into } from './bytes.ts';
import { canonicalText, inOrder, LINE_BOUNDS, parseCanonical } from './canonical.ts';
import type { Bounds, Json } from './canonical.ts';
import { checkedKey, verifyWithCheckedKey } from './ed25519.ts';
import { checkedEntry, FORMAT_VERSION, NO_PREV } from './entry.ts';
import type { Entry } from './entry.ts';
import { entryMessage } from './envelope.ts';
import { flawed, good } from './outcome.ts';
import type { Outcome } from './outcome.ts';
import type { Primitives, Signer } from './primitives.ts';

export interface SealedEntry {
  readonly entry: Entry;
  /** The bytes of the line, without the line feed; stored and sent as they are, never written anew. */
  readonly line: Uint8Array;
  /** SHA-256(0x00 ‖ line), hex. */
  readonly hash: string;
  /** Base 64 without padding, as in the line. */
  readonly sig: string;
}

/** The end of a record so far: what the next entry is chained to. */
export interface Head {
  readonly seq: number;
  readonly hash: string;
}

/** What the sealing shell gives; order, chain, version and key are added here. */
export type EntryFields = Omit<Entry, 'seq' | 'prev' | 'key' | 'v'>;

const OPENING = utf8('{"entry":');
const BETWEEN = utf8(',"sig":"');
const END = utf8('"}');
/** 64 bytes in Base 64 without padding: the last character has four bits left over, which are zero. */
const SIGNATURE = /^[A-Za-z0-9_-]{85}[AQgw]$/;
/** Bytes of a line after the entry: `,"sig":"`, 86 characters of signature, `"}`. */
const TAIL = BETWEEN.length + 86 + END.length;

const ENTRY_BOUNDS: Bounds = {
  ...LINE_BOUNDS,
  bytes: LINE_BOUNDS.bytes - OPENING.length - TAIL,
  depth: LINE_BOUNDS.depth - 1,
};

type Hashing = Pick<Primitives, 'sha256' | 'sha256Hex'>;

/**
 * Seals the next entry. `head` is the end of the record so far, or null for the first.
 * Refused, with nothing signed, when the entry would not pass its own reader (too long, too deep, a
 * field out of form).
 */
export async function sealEntry(
  fields: EntryFields,
  head: Head | null,
  signer: Signer,
  primitives: Hashing,
): Promise<Outcome<SealedEntry>> {
  const written = writtenEntry({
    ...fields,
    key: signer.key,
    prev: head?.hash ?? NO_PREV,
    seq: head === null ? 0 : head.seq + 1,
    v: FORMAT_VERSION,
  });
  if (!written.ok) return written;
  const { payload, value } = written.value;
  const checked = checkedEntry(value);
  if (!checked.ok) return checked;
  const message = entryMessage(payload);
  const signing = signer.sign(message);
  // A signer in this thread answers at once: waiting for it all the same would cost a turn of the loop.
  const signature = signing instanceof Uint8Array ? signing : await signing;
  const sig = base64url(signature);
  // The payload's own room may hold another entry by now.
  const leaf = leafOf(message.subarray(message.length - payload.length), sig);
  const hash = hashOf(leaf, primitives);
  return good({ entry: checked.value, line: leaf.slice(1), hash, sig });
}

/** Room for the bytes of one entry until they stand in its message: a seal makes no array that it need not. */
const PAYLOAD = new Uint8Array(ENTRY_BOUNDS.bytes);

/** The canonical bytes of an entry, until the next one is written, and the value that they read as. */
function writtenEntry(
  entry: object,
): Outcome<{ readonly payload: Uint8Array; readonly value: Json }> {
  const value = inOrder(entry, ENTRY_BOUNDS.depth);
  if (value !== undefined) {
    const payload = utf8Into(JSON.stringify(value), PAYLOAD);
    if (payload !== null) return good({ payload, value });
  }
  let payload: Uint8Array;
  try {
    payload = utf8(canonicalText(entry));
  } catch (error) {
    return flawed('not-plain', error instanceof Error ? error.message : String(error));
  }
  const read = parseCanonical(payload, ENTRY_BOUNDS);
  return read.ok ? good({ payload, value: read.value }) : read;
}

/** Room for the leaf of one line, its first byte zero: hashing is done before anything else is. */
const LEAF = new Uint8Array(LINE_BOUNDS.bytes + 1);

/** The leaf of the line of an entry, until the next one is made. */
function leafOf(payload: Uint8Array, sig: string): Uint8Array {
  LEAF.set(OPENING, 1);
  let at = 1 + OPENING.length;
  LEAF.set(payload, at);
  at += payload.length;
  LEAF.set(BETWEEN, at);
  at += BETWEEN.length;
  for (let each = 0; each < sig.length; each += 1) LEAF[at + each] = sig.charCodeAt(each);
  at += sig.length;
  LEAF.set(END, at);
  return LEAF.subarray(0, at + END.length);
}

const hashOf = (leaf: Uint8Array, primitives: Hashing): string =>
  primitives.sha256Hex?.(leaf) ?? hex(primitives.sha256(leaf));

/** SHA-256(0x00 ‖ line), hex: the RFC 6962 leaf hash of a line without its line feed. */
export function lineHash(line: Uint8Array, primitives: Hashing): string {
  const fits = line.length < LEAF.length;
  const leaf = fits ? LEAF.subarray(0, line.length + 1) : new Uint8Array(line.length + 1);
  leaf.set(line, 1);
  return hashOf(leaf, primitives);
}

/** Reads one line (without its line feed) for its form; signature and chain are judged elsewhere. */
export function readLine(line: Uint8Array, primitives: Hashing): Outcome<SealedEntry> {
  const read = parseCanonical(line, LINE_BOUNDS);
  if (!read.ok) return read;
  const value = read.value as { readonly [name: string]: Json };
  const sig = value?.['sig'];
  if (typeof sig !== 'string' || Object.keys(value).join() !== 'entry,sig') {
    return flawed('bad-field', 'The line is not an object of exactly “entry” and “sig”.');
  }
  if (!SIGNATURE.test(sig)) {
    return flawed('bad-encoding', '“sig” is not 64 bytes in Base 64 without padding.');
  }
  const checked = checkedEntry(value['entry']);
  if (!checked.ok) return checked;
  return good({ entry: checked.value, line, hash: lineHash(line, primitives), sig });
}

/** The bytes that were signed, as they stand in the line. */
export function signedBytes(sealed: SealedEntry): Uint8Array {
  return sealed.line.subarray(OPENING.length, sealed.line.length - TAIL);
}

/** Does the signature stand under this key? The key must have passed `checkedKey`. */
export function signatureStands(
  sealed: SealedEntry,
  publicKey: Uint8Array,
  primitives: Pick<Primitives, 'verify'>,
): boolean | Promise<boolean> {
  const signature = fromBase64url(sealed.sig) ?? new Uint8Array();
  const message = entryMessage(signedBytes(sealed));
  return verifyWithCheckedKey(primitives, publicKey, message, signature);
}

/** As `signatureStands`, for one entry alone: checks the key too. */
export function signatureStandsStrictly(
  sealed: SealedEntry,
  publicKey: Uint8Array,
  primitives: Pick<Primitives, 'verify'>,
): boolean | Promise<boolean> {
  return checkedKey(publicKey).ok && signatureStands(sealed, publicKey, primitives);
}
