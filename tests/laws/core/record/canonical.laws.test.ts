import canonicalize from 'canonicalize';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { utf8 } from '#lib/core/record/bytes.ts';
import { canonicalText, inOrder, parseCanonical } from '#lib/core/record/canonical.ts';
import type { Bounds } from '#lib/core/record/canonical.ts';

const ANY: Bounds = { bytes: 1_000_000, depth: 64, numbers: 'any' };
const RESERVED = new Set(['__proto__', 'constructor', 'prototype']);
const whole = (text: string): boolean => text.isWellFormed();
const hasReserved = (value: unknown): boolean =>
  typeof value === 'object' &&
  value !== null &&
  Object.entries(value).some(([name, inner]) => RESERVED.has(name) || hasReserved(inner));

const text = fc.string({ unit: 'grapheme' }).filter(whole);
const json = fc
  .jsonValue({ stringUnit: 'binary' })
  .filter((value) => whole(JSON.stringify(value)) && !/\\ud[89a-f]/.test(JSON.stringify(value)));

describe('canonical JSON, for any value', () => {
  it('is what the registry library writes (canonicalize 5.1.0)', () => {
    fc.assert(fc.property(json, (value) => canonicalText(value) === canonicalize(value)));
  });

  it('reads back to the same value and the same text', () => {
    fc.assert(
      fc.property(json, (value) => {
        fc.pre(!hasReserved(value));
        const written = canonicalText(value);
        const read = parseCanonical(utf8(written), ANY);
        expect(read.ok && canonicalText(read.value)).toBe(written);
      }),
    );
  });

  it('accepts no second spelling of any text', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 60 }), (bytes) => {
        const read = parseCanonical(bytes, ANY);
        if (read.ok) expect(utf8(canonicalText(read.value))).toEqual(bytes);
      }),
      { numRuns: 2000 },
    );
  });

  it('accepts no document with one byte changed into another spelling of the same value', () => {
    const spaced = fc.record({ a: text, b: fc.integer(), c: fc.array(text) });
    fc.assert(
      fc.property(spaced, fc.nat(), fc.integer({ min: 1, max: 255 }), (value, where, flip) => {
        const bytes = utf8(canonicalText(value));
        const at = where % bytes.length;
        bytes[at] = (bytes[at] ?? 0) ^ flip;
        const read = parseCanonical(bytes, ANY);
        if (read.ok) expect(canonicalText(read.value)).not.toBe(canonicalText(value));
      }),
      { numRuns: 500 },
    );
  });

  it('put in order, is what the platform writes as the registry library does, and refused as read', () => {
    const within = { bytes: 1_000_000, depth: 4, numbers: 'integers' } as const;
    const member = fc.oneof(
      fc.jsonValue({ stringUnit: 'binary' }),
      fc.integer(),
      text,
      fc.constant(-0),
    );
    const value = fc.oneof(member, fc.dictionary(fc.oneof(text, fc.string()), member));
    const keepsOwnOrder = (each: unknown): boolean => /[{,]"\d/.test(JSON.stringify(each));
    fc.assert(
      fc.property(value, (given) => {
        const ordered = inOrder(given, within.depth);
        if (ordered === undefined) {
          if (keepsOwnOrder(given)) return;
          let written: Uint8Array;
          try {
            written = utf8(canonicalText(given));
          } catch {
            return; // half a surrogate pair
          }
          expect(parseCanonical(written, within).ok).toBe(false);
          return;
        }
        const written = JSON.stringify(ordered);
        expect(written).toBe(canonicalize(given));
        expect(parseCanonical(utf8(written), within)).toEqual({ ok: true, value: ordered });
      }),
      { numRuns: 1000 },
    );
  });
});
