/**
 * Bytes as text and back: UTF-8, hex, Base 64 (RFC 4648), each with exactly one accepted spelling.
 *
 * Every decoder returns `null` for anything but that spelling, so that two different texts never mean
 * the same bytes.
 */
import { ownBase64, ownFromBase64, ownHex } from './own-bytes.ts';
import type { Alphabet } from './own-bytes.ts';

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

/** What newer platforms write with (ECMAScript 2026); reading the one spelling is quicker by hand. */
type Writer = Uint8Array & {
  toHex?(): string;
  toBase64?(wanted: { readonly alphabet: Alphabet; readonly omitPadding: boolean }): string;
};

export { fromHex } from './own-bytes.ts';

/** Lower-case hex. */
export function hex(bytes: Uint8Array): string {
  return (bytes as Writer).toHex?.() ?? ownHex(bytes);
}

/** Base 64 with padding (RFC 4648 section 4). */
export function base64(bytes: Uint8Array): string {
  const native = (bytes as Writer).toBase64?.({ alphabet: 'base64', omitPadding: false });
  if (native !== undefined) return native;
  const text = ownBase64(bytes, 'base64');
  return text + '='.repeat((4 - (text.length % 4)) % 4);
}

export function fromBase64(text: string): Uint8Array | null {
  if (text.length % 4 !== 0) return null;
  const padding = text.endsWith('==') ? 2 : text.endsWith('=') ? 1 : 0;
  return ownFromBase64(text.slice(0, text.length - padding), 'base64');
}

/** Base 64 for names and addresses, without padding (RFC 4648 section 5). */
export function base64url(bytes: Uint8Array): string {
  return (
    (bytes as Writer).toBase64?.({ alphabet: 'base64url', omitPadding: true }) ??
    ownBase64(bytes, 'base64url')
  );
}

export function fromBase64url(text: string): Uint8Array | null {
  return ownFromBase64(text, 'base64url');
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
