import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import {
  base64,
  base64url,
  fromBase64,
  fromBase64url,
  fromHex,
  hex,
  utf8,
} from '#lib/core/record/bytes.ts';
import { ownBase64, ownHex } from '#lib/core/record/own-bytes.ts';

/** RFC 4648 section 10. */
const VECTORS = [
  ['', '', ''],
  ['f', 'Zg==', '66'],
  ['fo', 'Zm8=', '666f'],
  ['foo', 'Zm9v', '666f6f'],
  ['foob', 'Zm9vYg==', '666f6f62'],
  ['fooba', 'Zm9vYmE=', '666f6f6261'],
  ['foobar', 'Zm9vYmFy', '666f6f626172'],
] as const;

describe('bytes as text', () => {
  it.each(VECTORS)('writes and reads the vector of RFC 4648 for “%s”', (text, in64, inHex) => {
    const bytes = utf8(text);
    expect([base64(bytes), hex(bytes)]).toEqual([in64, inHex]);
    expect([fromBase64(in64), fromHex(inHex)]).toEqual([bytes, bytes]);
    const bare = in64.replaceAll('=', '');
    expect([ownBase64(bytes, 'base64'), ownHex(bytes)]).toEqual([bare, inHex]);
    expect(fromBase64url(bare)).toEqual(bytes);
  });

  it.each([
    ['padding where there is none', 'Zg=='],
    ['white space', 'Zm9 v'],
    ['white space that makes it whole', 'Zm9\n'],
    ['white space at its end', 'Zm9vYg  '],
    ['one character too many', 'Zm9vY'],
    ['bits left over', 'Zh'],
    ['the other alphabet', 'Zm+v'],
    ['a character beyond ASCII', 'Zmév'],
  ])('does not read without padding: %s', (_, text) => expect(fromBase64url(text)).toBeNull());

  it.each([
    ['no padding', 'Zg'],
    ['one sign of padding for two', 'Zg='],
    ['padding in the middle', 'Zg==Zg=='],
    ['white space', 'Zg= ='],
    ['only padding', '===='],
    ['bits left over', 'Zh=='],
    ['the other alphabet', 'Zm-v'],
  ])('does not read with padding: %s', (_, text) => expect(fromBase64(text)).toBeNull());

  it.each([['AB'], ['abc'], ['a '], ['0x'], ['a\n'], ['0g'], ['\u01300']])(
    'does not read “%s” as hex',
    (text) => expect(fromHex(text)).toBeNull(),
  );

  test.prop([fc.uint8Array({ maxLength: 200 })])('the platform and the own way agree', (bytes) => {
    expect([hex(bytes), fromHex(hex(bytes))]).toEqual([ownHex(bytes), bytes]);
    expect(base64url(bytes)).toBe(ownBase64(bytes, 'base64url'));
    expect(base64(bytes).replaceAll('=', '')).toBe(ownBase64(bytes, 'base64'));
    expect([fromBase64(base64(bytes)), fromBase64url(base64url(bytes))]).toEqual([bytes, bytes]);
  });

  // Node reads leniently: what comes out of it as the same text was spelt in the one way.
  const near64 = fc.string({ unit: fc.constantFrom(...'AQgwZz019+/-_= \n\u00e9'), maxLength: 12 });
  test.prop([near64])('nothing is read but what would be written', (text) => {
    const [standard, url] = [Buffer.from(text, 'base64'), Buffer.from(text, 'base64url')];
    expect(fromBase64(text) !== null).toBe(standard.toString('base64') === text);
    expect(fromBase64url(text) !== null).toBe(url.toString('base64url') === text);
  });
});
