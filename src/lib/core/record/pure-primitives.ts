/**
 * The port of `primitives.ts` on nothing but arithmetic: it runs wherever core runs, and is the
 * reference that the quicker platform adapters are tested against.
 */
import { ed25519 } from '@noble/curves/ed25519.js';
import { sha256, sha512 } from '@noble/hashes/sha2.js';
import { joined, sameBytes } from './bytes.ts';
import type { HashName, HashStream, Primitives } from './primitives.ts';

const { Point } = ed25519;

export const purePrimitives: Primitives = {
  sha256: (bytes) => sha256(bytes),
  hashStream(name: HashName): HashStream {
    const running = name === 'sha256' ? sha256.create() : sha512.create();
    return { update: (bytes) => void running.update(bytes), digest: () => running.digest() };
  },
  verify: verifyWithoutCofactor,
};

/**
 * RFC 8032 section 5.1.7 in the form that compares encodings, as the system libraries do. The
 * library's own `verify` multiplies by the cofactor and accepts a few signatures that they refuse.
 */
function verifyWithoutCofactor(
  key: Uint8Array,
  message: Uint8Array,
  signature: Uint8Array,
): boolean {
  const r = signature.subarray(0, 32);
  const s = littleEndian(signature.subarray(32));
  if (signature.length !== 64 || s >= Point.Fn.ORDER) return false;
  let a;
  try {
    a = Point.fromBytes(key, false);
  } catch {
    return false;
  }
  const k = littleEndian(sha512(joined(r, key, message))) % Point.Fn.ORDER;
  const expected = Point.BASE.multiplyUnsafe(s).subtract(a.multiplyUnsafe(k));
  return sameBytes(expected.toBytes(), r);
}

function littleEndian(bytes: Uint8Array): bigint {
  let value = 0n;
  for (let at = bytes.length - 1; at >= 0; at -= 1) value = (value << 8n) | BigInt(bytes[at] ?? 0);
  return value;
}
