/**
 * Bytes as text and back: UTF-8, hex, Base 64 (RFC 4648), each with exactly one accepted spelling.
 *
 * Every decoder returns `null` for anything but that spelling, so that two different texts never mean
 * the same bytes.
 */

// Two pure functions that every runtime has; named here because core is compiled without DOM or Node types.
declare const TextEncoder: {
  new (): {
    encode(text: string): Uint8Array;
    encodeInto(text: string, to: Uint8Array): { readonly read: number; readonly written: number };
  };
};
declare const TextDecoder: {
  new (
    label: string,
    options: { fatal: boolean; ignoreBOM: boolean },
  ): { decode(bytes: Uint8Array): string };
};

const encoder = new TextEncoder();
const decoder = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });

/** UTF-8 of a text. Lone surrogates must be refused before: they would become U+FFFD. */
export function utf8(text: string): Uint8Array {
  return encoder.encode(text);
}

/** As `utf8`, into a room that is there already: the bytes there, or null when they do not fit. */
export function utf8Into(text: string, room: Uint8Array): Uint8Array | null {
  const { read, written } = encoder.encodeInto(text, room);
  return read === text.length ? room.subarray(0, written) : null;
}

/** The text of UTF-8 bytes, a byte order mark kept as a character; `null` if they are not UTF-8. */
export function textOf(bytes: Uint8Array): string | null {
  try {
    return decoder.decode(bytes);
  } catch {
    return null;
  }
}

const HEX = Array.from({ length: 256 }, (_, byte) => byte.toString(16).padStart(2, '0'));

/** Lower-case hex. */
export function hex(bytes: Uint8Array): string {
  let text = '';
  for (const byte of bytes) text += HEX[byte];
  return text;
}

export function fromHex(text: string): Uint8Array | null {
  if (text.length % 2 !== 0 || !/^[0-9a-f]*$/.test(text)) return null;
  const bytes = new Uint8Array(text.length / 2);
  for (let at = 0; at < bytes.length; at += 1) {
    bytes[at] = Number.parseInt(text.slice(at * 2, at * 2 + 2), 16);
  }
  return bytes;
}

const COMMON = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789';
const STANDARD = `${COMMON}+/`;
const URL_SAFE = `${COMMON}-_`;

function encode64(bytes: Uint8Array, alphabet: string): string {
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

function valuesOf(alphabet: string): Uint8Array {
  const values = new Uint8Array(128).fill(255);
  for (let value = 0; value < 64; value += 1) values[alphabet.charCodeAt(value)] = value;
  return values;
}
const STANDARD_VALUES = valuesOf(STANDARD);
const URL_SAFE_VALUES = valuesOf(URL_SAFE);

/** Decodes text without padding; leftover bits must be zero. */
function decode64(text: string, length: number, values: Uint8Array): Uint8Array | null {
  if (length % 4 === 1) return null;
  const bytes = new Uint8Array(Math.floor((length * 3) / 4));
  let held = 0;
  let bits = 0;
  let to = 0;
  for (let at = 0; at < length; at += 1) {
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

/** Base 64 with padding (RFC 4648 section 4). */
export function base64(bytes: Uint8Array): string {
  const text = encode64(bytes, STANDARD);
  return text + '='.repeat((4 - (text.length % 4)) % 4);
}

export function fromBase64(text: string): Uint8Array | null {
  if (text.length % 4 !== 0) return null;
  const padding = text.endsWith('==') ? 2 : text.endsWith('=') ? 1 : 0;
  return decode64(text, text.length - padding, STANDARD_VALUES);
}

/** Base 64 for names and addresses, without padding (RFC 4648 section 5). */
export function base64url(bytes: Uint8Array): string {
  return encode64(bytes, URL_SAFE);
}

export function fromBase64url(text: string): Uint8Array | null {
  return decode64(text, text.length, URL_SAFE_VALUES);
}

export function sameBytes(one: Uint8Array, other: Uint8Array): boolean {
  if (one.length !== other.length) return false;
  for (let at = 0; at < one.length; at += 1) if (one[at] !== other[at]) return false;
  return true;
}

export function joined(...parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
