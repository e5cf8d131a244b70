import { describe, expect, it } from 'vitest';
import { fromBase64url } from '#lib/core/record/bytes.ts';
import { instantOf } from '#lib/core/record/instant.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import { isThumbprint, thumbprintOf } from '#lib/core/record/thumbprint.ts';
import { isUuidV7, uuidTime, uuidV7 } from '#lib/core/record/uuid.ts';

describe('UUID version 7', () => {
  // RFC 9562 appendix A.6: 2022-02-22T19:22:22.000Z.
  const example = '017f22e2-79b0-7cc3-98c4-dc0c0c07398f';

  it('is the example of the standard for its time and its random bits', () => {
    const random = new Uint8Array([0xfc, 0xc3, 0xd8, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
    expect(uuidV7(Date.UTC(2022, 1, 22, 19, 22, 22), random)).toBe(example);
  });

  it('gives its time back', () => {
    expect(uuidTime(example)).toBe(0x017f22e279b0);
    expect(uuidTime(uuidV7(2 ** 48 - 1, new Uint8Array(10)))).toBe(2 ** 48 - 1);
  });

  it('sorts by time', () => {
    const one = uuidV7(1000, new Uint8Array(10).fill(255));
    expect(one < uuidV7(1001, new Uint8Array(10))).toBe(true);
  });

  it.each([
    ['version 4', '017f22e2-79b0-4cc3-98c4-dc0c0c07398f'],
    ['another variant', '017f22e2-79b0-7cc3-c8c4-dc0c0c07398f'],
    ['upper case', example.toUpperCase()],
    ['braces', `{${example}}`],
    ['a line feed', `${example}\n`],
  ])('is not: %s', (_, text) => {
    expect(isUuidV7(text)).toBe(false);
  });

  it('wants 10 random bytes and a time of 48 bits', () => {
    expect(() => uuidV7(1, new Uint8Array(9))).toThrow(RangeError);
    expect(() => uuidV7(2 ** 48, new Uint8Array(10))).toThrow(RangeError);
  });
});

describe('the thumbprint of a key', () => {
  it('is that of RFC 8037 appendix A.3', () => {
    const key = fromBase64url('11qYAYKxCrfVS_7TyWQHOg7hcvPapiMlrwIaaPcHURo') ?? new Uint8Array();
    expect(thumbprintOf(key, purePrimitives)).toBe('kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4k');
  });

  it('has one spelling', () => {
    expect(isThumbprint('kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4k')).toBe(true);
    expect(isThumbprint('kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4l')).toBe(false);
  });
});

describe('RFC 3339 times', () => {
  it.each([
    // RFC 3339 section 5.8.
    ['1985-04-12T23:20:50.52Z', Date.UTC(1985, 3, 12, 23, 20, 50, 520), 0],
    ['1996-12-19T16:39:57-08:00', Date.UTC(1996, 11, 20, 0, 39, 57), -480],
    ['1937-01-01T12:00:27.87+00:20', Date.UTC(1937, 0, 1, 11, 40, 27, 870), 20],
    ['2024-02-29T23:59:59.999+05:45', Date.parse('2024-02-29T23:59:59.999+05:45'), 345],
    ['2026-11-25T10:42:07.120-00:00', Date.parse('2026-11-25T10:42:07.120Z'), 0],
  ])('%s', (text, ms, offset) => {
    expect(instantOf(text)).toEqual({ ms, offset });
  });

  it('agrees with the platform on every day of four centuries', () => {
    for (let day = Date.UTC(1900, 0, 1); day < Date.UTC(2300, 0, 1); day += 86_400_000 * 13) {
      const text = new Date(day).toISOString();
      expect(instantOf(text)?.ms).toBe(day);
    }
  });

  it.each([
    '2026-02-29T10:00:00Z',
    '2100-02-29T10:00:00Z',
    '2026-13-01T10:00:00Z',
    '2026-00-01T10:00:00Z',
    '2026-04-31T10:00:00Z',
    '2026-11-25T24:00:00Z',
    '2026-11-25T10:60:00Z',
    '1990-12-31T23:59:60Z',
    '2026-11-25T10:42:07+24:00',
    '2026-11-25T10:42:07',
    '2026-11-25 10:42:07Z',
    '2026-11-25t10:42:07z',
    '2026-11-25T10:42:07.Z',
    '2026-11-25T10:42:07Z\n',
  ])('is not one: %s', (text) => {
    expect(instantOf(text)).toBeNull();
  });
});
