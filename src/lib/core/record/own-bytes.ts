/** Hex and Base 64 (RFC 4648) by hand; see `bytes.ts`. */

const HEX = Array.from({ length: 256 }, (_, byte) => byte.toString(16).padStart(2, '0'));

const NONE = 16;
/** By character code: the value of a digit of lower-case hex. */
const DIGITS = new Uint8Array(128).fill(NONE);
[...'0123456789abcdef'].forEach((digit, value) => (DIGITS[digit.charCodeAt(0)] = value));

export function ownHex(bytes: Uint8Array): string {
  let text = '';
  for (const byte of bytes) text += HEX[byte];
  return text;
}

export function fromHex(text: string): Uint8Array | null {
  if (text.length % 2 !== 0) return null;
  const bytes = new Uint8Array(text.length / 2);
  let seen = 0;
  for (let at = 0; at < bytes.length; at += 1) {
    const high = DIGITS[text.charCodeAt(at * 2)] ?? NONE;
    const low = DIGITS[text.charCodeAt(at * 2 + 1)] ?? NONE;
    seen |= high | low;
    bytes[at] = (high << 4) | low;
  }
  return seen < NONE ? bytes : null;
}

export type Alphabet = 'base64' | 'base64url';

const COMMON = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789';
const ALPHABETS: Readonly<Record<Alphabet, string>> = {
  base64: `${COMMON}+/`,
  base64url: `${COMMON}-_`,
};

function valuesOf(alphabet: string): Uint8Array {
  const values = new Uint8Array(128).fill(255);
  for (let value = 0; value < 64; value += 1) values[alphabet.charCodeAt(value)] = value;
  return values;
}
const VALUES: Readonly<Record<Alphabet, Uint8Array>> = {
  base64: valuesOf(ALPHABETS.base64),
  base64url: valuesOf(ALPHABETS.base64url),
};

/** Without padding. */
export function ownBase64(bytes: Uint8Array, name: Alphabet): string {
  const alphabet = ALPHABETS[name];
  let text = '';
  for (let at = 0; at < bytes.length; at += 3) {
    const left = bytes.length - at;
    const group = ((bytes[at] ?? 0) << 16) | ((bytes[at + 1] ?? 0) << 8) | (bytes[at + 2] ?? 0);
    text += alphabet.charAt(group >>> 18) + alphabet.charAt((group >>> 12) & 63);
    if (left > 1) text += alphabet.charAt((group >>> 6) & 63);
    if (left > 2) text += alphabet.charAt(group & 63);
  }
  return text;
}

/** Decodes text without padding; leftover bits must be zero. */
export function ownFromBase64(text: string, name: Alphabet): Uint8Array | null {
  if (text.length % 4 === 1) return null;
  const values = VALUES[name];
  const bytes = new Uint8Array(Math.floor((text.length * 3) / 4));
  let held = 0;
  let bits = 0;
  let to = 0;
  for (let at = 0; at < text.length; at += 1) {
    const value = values[text.charCodeAt(at)] ?? 255;
    if (value === 255) return null;
    held = ((held << 6) | value) & 0xffff;
    bits += 6;
    if (bits >= 8) {
      bits -= 8;
      bytes[to] = (held >>> bits) & 255;
      to += 1;
    }
  }
  return (held & ((1 << bits) - 1)) === 0 ? bytes : null;
}
