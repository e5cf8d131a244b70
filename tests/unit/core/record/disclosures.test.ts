import { describe, expect, it } from 'vitest';
import { base64url, utf8 } from '#lib/core/record/bytes.ts';
import {
  digestOf,
  discloseAll,
  disclosureLine,
  readDisclosure,
} from '#lib/core/record/disclosures.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';

describe('salted disclosures (RFC 9901)', () => {
  // RFC 9901 section 4.2.1 and 4.2.3, the disclosure of "family_name" and its digest.
  const familyName = 'WyJfMjZiYzRMVC1hYzZxMktJNmNCVzVlcyIsICJmYW1pbHlfbmFtZSIsICJNw7ZiaXVzIl0';

  it('read the example of the standard', () => {
    expect(readDisclosure(familyName, purePrimitives)).toEqual({
      ok: true,
      value: {
        salt: '_26bc4LT-ac6q2KI6cBW5es',
        name: 'family_name',
        value: 'Möbius',
        encoded: familyName,
        digest: 'X9yH0Ajrdm1Oij4tWso9UzzKJvPoDxwmuEcO3XAdRC0',
      },
    });
  });

  it.each([
    // RFC 9901 section 4.2.3, and its array element of section 4.2.2.
    [familyName, 'X9yH0Ajrdm1Oij4tWso9UzzKJvPoDxwmuEcO3XAdRC0'],
    ['WyJsa2x4RjVqTVlsR1RQVW92TU5JdkNBIiwgIkZSIl0', 'w0I8EKcdCtUPkGCNUrfwVp2xEgNjtoIDlOxc9-PlOhs'],
  ])('give the digest of the standard for %s', (encoded, digest) => {
    expect(digestOf(encoded, purePrimitives)).toBe(digest);
  });

  it('spell the same claim differently with other white space, so the digest covers the spelling', () => {
    // RFC 9901 section 4.2.1 lists this spelling without spaces as another valid one.
    const compact = base64url(utf8('["_26bc4LT-ac6q2KI6cBW5es","family_name","Möbius"]'));
    expect(readDisclosure(compact, purePrimitives)).toMatchObject({
      ok: true,
      value: { value: 'Möbius' },
    });
    expect(digestOf(compact, purePrimitives)).not.toBe(digestOf(familyName, purePrimitives));
  });
});

describe('the private values of an entry', () => {
  let made = 0;
  const salt = (): Uint8Array => new Uint8Array(16).fill((made += 1));
  const { disclosures, digests } = discloseAll(
    { 'site.address': '4 Larch Lane', 'site.name': 'Ines Calder' },
    salt,
    purePrimitives,
  );

  it('come back from their disclosures', () => {
    for (const disclosure of disclosures) {
      expect(readDisclosure(disclosure.encoded, purePrimitives)).toEqual({
        ok: true,
        value: disclosure,
      });
    }
  });

  it('leave only sorted digests in the open', () => {
    expect(digests).toEqual(disclosures.map(({ digest }) => digest).sort());
    expect(digests.join()).not.toContain('Larch');
  });

  it('each have their own salt of 128 bits', () => {
    expect(new Set(disclosures.map((one) => one.salt)).size).toBe(2);
    expect(disclosures[0]?.salt).toHaveLength(22);
    expect(() => discloseAll({ a: 'b' }, () => new Uint8Array(15), purePrimitives)).toThrow(
      RangeError,
    );
  });

  it('cannot be guessed: the same value under another salt has another digest', () => {
    const again = discloseAll({ 'site.address': '4 Larch Lane' }, salt, purePrimitives);
    expect(digests).not.toContain(again.digests[0]);
  });

  it('are kept a line each', () => {
    expect(disclosureLine(0, 'WyJh')).toBe('{"disclosure":"WyJh","seq":0}');
  });
});

it.each([
  ['not Base 64', '****'],
  ['Base 64 with bits left over', 'WyJhIl1'.slice(0, -1) + 'B'],
  ['not UTF-8', base64url(new Uint8Array([0xff, 0xfe, 0xfd]))],
  ['not JSON', base64url(utf8('["a","b"'))],
  ['an object', base64url(utf8('{"a":1}'))],
  ['an array element', base64url(utf8('["salt","value"]'))],
  ['a name that is a number', base64url(utf8('["salt",1,2]'))],
  ['70,000 characters', 'A'.repeat(70_000)],
])('refuses a disclosure that is %s', (_, encoded) => {
  expect(readDisclosure(encoded, purePrimitives)).toMatchObject({
    ok: false,
    flaw: { code: 'bad-disclosure' },
  });
});
