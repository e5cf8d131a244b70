/**
 * Which Ed25519 keys and signatures are acceptable, decided by us and not by the platform.
 *
 * Platforms disagree about small-order and non-canonical points, and a key of small order makes a
 * signature that fits any message. A key must be 32 bytes, canonical (y < p), on the curve, and not of
 * small order; a signature must have S < L and an R that is canonical and not of small order.
 * Constants and encodings: RFC 8032 sections 5.1, 5.1.2 and 5.1.3; the points of small order are those
 * of the C2SP/CCTV list of edwards25519 low-order encodings.
 */
import { fromHex } from './bytes.ts';
import { flawed, good } from './outcome.ts';
import type { Outcome } from './outcome.ts';
import type { Primitives } from './primitives.ts';

const P = 2n ** 255n - 19n;
const D = 37095705934669439343138083508754565189542113879843219016388785533085940283555n;
/** The order of the base point, 32 bytes, little end first. */
const L = encoding('edd3f55c1a631258d69cf7a2def9de1400000000000000000000000000000010');

/** The y of every point of small order, sign bit off; the last two are p and p + 1. */
const SMALL_ORDER_Y: readonly Uint8Array[] = [
  `01${'00'.repeat(31)}`,
  '00'.repeat(32),
  `ec${'ff'.repeat(30)}7f`,
  '26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05',
  'c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a',
  `ed${'ff'.repeat(30)}7f`,
  `ee${'ff'.repeat(30)}7f`,
].map(encoding);

function encoding(text: string): Uint8Array {
  const bytes = fromHex(text);
  if (bytes === null) throw new Error(`Not hex: ${text}`);
  return bytes;
}

/** The key itself, or why it may not be enrolled or believed. Costs one field exponentiation. */
export function checkedKey(key: Uint8Array): Outcome<Uint8Array> {
  if (key.length !== 32) {
    return flawed('bad-key', `The public key has ${key.length} bytes; an Ed25519 key has 32.`);
  }
  if (!isCanonicalPoint(key)) {
    return flawed(
      'bad-key',
      'The public key is not in its one canonical spelling (y is not below p).',
    );
  }
  if (isSmallOrder(key)) {
    return flawed('bad-key', 'The public key is a point of small order: any message would fit it.');
  }
  if (!isOnCurve(key)) return flawed('bad-key', 'The public key is not a point of the curve.');
  return good(key);
}

/** The signature itself, or why no key may be believed through it. */
export function checkedSignature(signature: Uint8Array): Outcome<Uint8Array> {
  if (signature.length !== 64) {
    return flawed('bad-signature', `The signature has ${signature.length} bytes; Ed25519 has 64.`);
  }
  if (!isBelowOrder(signature)) {
    return flawed('bad-signature', 'The signature is not in its one spelling (S is not below L).');
  }
  if (!isCanonicalPoint(signature) || isSmallOrder(signature)) {
    return flawed('bad-signature', 'The signature holds a point R that no honest signer makes.');
  }
  return good(signature);
}

/**
 * Does this signature stand, by our rules and then by the arithmetic behind the port?
 * The key must have passed `checkedKey`, which is worth doing once for each key.
 */
export function verifyWithCheckedKey(
  primitives: Pick<Primitives, 'verify'>,
  key: Uint8Array,
  message: Uint8Array,
  signature: Uint8Array,
): boolean | Promise<boolean> {
  return checkedSignature(signature).ok && primitives.verify(key, message, signature);
}

/** The whole check for a single signature, the key included. */
export function verifyStrictly(
  primitives: Pick<Primitives, 'verify'>,
  key: Uint8Array,
  message: Uint8Array,
  signature: Uint8Array,
): boolean | Promise<boolean> {
  return checkedKey(key).ok && verifyWithCheckedKey(primitives, key, message, signature);
}

function isCanonicalPoint(bytes: Uint8Array): boolean {
  if ((bytes[31] ?? 0) !== 0x7f && (bytes[31] ?? 0) !== 0xff) return true;
  for (let at = 30; at > 0; at -= 1) if (bytes[at] !== 0xff) return true;
  return (bytes[0] ?? 0) < 0xed;
}

function isSmallOrder(bytes: Uint8Array): boolean {
  return SMALL_ORDER_Y.some((y) => {
    for (let at = 0; at < 31; at += 1) if (bytes[at] !== y[at]) return false;
    return ((bytes[31] ?? 0) & 0x7f) === y[31];
  });
}

/** S is the second half of the signature, little end first. */
function isBelowOrder(signature: Uint8Array): boolean {
  for (let at = 31; at >= 0; at -= 1) {
    const digit = signature[32 + at] ?? 0;
    const limit = L[at] ?? 0;
    if (digit !== limit) return digit < limit;
  }
  return false;
}

/** Euler's criterion on x^2 = (y^2 - 1) / (d y^2 + 1); x = 0 happens only at small order. */
function isOnCurve(key: Uint8Array): boolean {
  let y = 0n;
  for (let at = 31; at >= 0; at -= 1) {
    y = (y << 8n) | BigInt((key[at] ?? 0) & (at === 31 ? 0x7f : 0xff));
  }
  const square = (y * y) % P;
  return power(((square - 1n + P) * (D * square + 1n)) % P, (P - 1n) / 2n) === 1n;
}

function power(base: bigint, exponent: bigint): bigint {
  let result = 1n;
  let factor = base;
  for (let left = exponent; left > 0n; left >>= 1n) {
    if (left & 1n) result = (result * factor) % P;
    factor = (factor * factor) % P;
  }
  return result;
}
