/** Random secrets that are handed out, and what is kept of them: only a hash. */
import { hash, randomBytes, randomInt } from 'node:crypto';
import { base64url, utf8 } from '#lib/core/record/index.ts';

/** 256 random bits, for a cookie, a device or a link. */
export function freshToken(): string {
  return base64url(randomBytes(32));
}

/** What stands in the database: a token of 256 random bits needs no salt and no slow hash. */
export function tokenHash(token: string): Uint8Array {
  return new Uint8Array(hash('sha256', utf8(token), 'buffer'));
}

/** Crockford's base 32: no I, L, O, U, so that a code can be read aloud and typed with gloves. */
const LETTERS = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
const CODE_LETTERS = 10;

/** 50 random bits to be typed: `7QF2K-M9XAP`. */
export function freshCode(): string {
  const letters = Array.from({ length: CODE_LETTERS }, () => LETTERS[randomInt(LETTERS.length)]);
  return `${letters.slice(0, 5).join('')}-${letters.slice(5).join('')}`;
}

/** A code as somebody typed it, in the one form that is hashed and signed; null when it is none. */
export function plainCode(typed: string): string | null {
  const plain = typed
    .toUpperCase()
    .replace(/[\s-]/g, '')
    .replaceAll('O', '0')
    .replace(/[IL]/g, '1');
  return plain.length === CODE_LETTERS && [...plain].every((letter) => LETTERS.includes(letter))
    ? plain
    : null;
}

/** A short id that stands in the log: letters and digits, 80 random bits. */
export function freshId(prefix: string): string {
  const letters = Array.from({ length: 16 }, () => LETTERS[randomInt(LETTERS.length)]);
  return `${prefix}-${letters.join('').toLowerCase()}`;
}
