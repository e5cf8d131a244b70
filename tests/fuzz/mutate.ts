/** Inputs made from good ones, by a seed: cut, spliced, repeated, flipped, and filled with what hurts parsers. */
import { between } from '../support/seeded.ts';
import type { Random } from '../support/seeded.ts';

/** Largest input that is made, in bytes. */
const MOST = 64 * 1024;

const TOKENS = [
  '{',
  '}',
  '[',
  ']',
  '"',
  ',',
  ':',
  '\\',
  '\\u0000',
  '\\ud800',
  '\u0000',
  '\n',
  '\r\n',
  '\n\n',
  '\t',
  ' ',
  '-',
  '- ',
  ': ',
  '? ',
  '&a',
  '*a',
  '!!js/function',
  '<<: *a',
  '|',
  '>',
  '#',
  '%',
  '@',
  '---\n',
  '...\n',
  '0',
  '-0',
  '1.0',
  '1e400',
  '9007199254740993',
  '4294967296',
  'NaN',
  'null',
  'true',
  'e',
  'Ω',
  '—',
  '__proto__',
  'constructor',
  'toString',
  '../',
  '..\\',
  '/etc/passwd',
  'C:',
  'con',
  '.',
  '=',
  '==',
  '\u202e',
  '\ufeff',
  '😀',
  'A'.repeat(300),
  '['.repeat(2000),
  '{"a":'.repeat(500),
  '9'.repeat(500),
].map((token) => new TextEncoder().encode(token));
const BYTES = [0, 1, 0x7f, 0x80, 0xc0, 0xed, 0xf5, 0xff, 0x50, 0x4b];

/** One input after another from a pool of good ones. */
export function mutated(pool: readonly Uint8Array[], random: Random): Uint8Array {
  const any = (): Uint8Array => pool[between(random, 0, pool.length - 1)] ?? new Uint8Array();
  let bytes = any();
  for (let turn = between(random, 1, 4); turn > 0; turn -= 1) bytes = once(bytes, any(), random);
  return bytes.slice(0, MOST);
}

function once(bytes: Uint8Array, other: Uint8Array, random: Random): Uint8Array {
  const at = between(random, 0, bytes.length);
  const to = Math.min(bytes.length, at + between(random, 1, 40));
  switch (between(random, 0, 8)) {
    case 0:
      return changed(bytes, at, (byte) => byte ^ (1 << between(random, 0, 7)));
    case 1:
      return changed(bytes, at, () => BYTES[between(random, 0, BYTES.length - 1)] ?? 0);
    case 2:
      return joined(bytes.subarray(0, at), bytes.subarray(to));
    case 3:
      return joined(bytes.subarray(0, to), bytes.subarray(at));
    case 4:
      return bytes.slice(0, at);
    case 5:
      return joined(bytes.subarray(0, at), other.subarray(between(random, 0, other.length)));
    case 6:
      return joined(bytes.subarray(0, at), token(random), bytes.subarray(to));
    case 7:
      return changed(bytes, at, (byte) => byte + (random() < 0.5 ? 1 : 255));
    default:
      return joined(bytes.subarray(0, at), token(random), bytes.subarray(at));
  }
}

function token(random: Random): Uint8Array {
  return TOKENS[between(random, 0, TOKENS.length - 1)] ?? new Uint8Array();
}

function changed(bytes: Uint8Array, at: number, to: (byte: number) => number): Uint8Array {
  const made = bytes.slice();
  made[at] = to(made[at] ?? 0);
  return made;
}

function joined(...parts: readonly Uint8Array[]): Uint8Array {
  return Uint8Array.from(parts.flatMap((part) => [...part]));
}
