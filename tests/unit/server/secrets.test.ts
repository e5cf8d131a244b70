import { describe, expect, test } from 'vitest';
import { freshCode, freshId, freshToken, plainCode } from '#lib/server/secrets.ts';

describe('what is handed out', () => {
  test('a token is 256 random bits', () => {
    expect(freshToken()).toMatch(/^[A-Za-z0-9_-]{43}$/);
    expect(freshToken()).not.toBe(freshToken());
  });

  test('a code can be read aloud and typed, whatever the case and the dashes', () => {
    const code = freshCode();
    expect(code).toMatch(/^[0-9A-HJKMNP-TV-Z]{5}-[0-9A-HJKMNP-TV-Z]{5}$/);
    const plain = plainCode(code);
    expect(plain).toBe(code.replace('-', ''));
    expect(plainCode(` ${code.toLowerCase().split('').join(' ')} `)).toBe(plain);
    // Crockford's base 32: what looks alike is the same.
    expect(plainCode('0O1IL-ABCDE')).toBe('00111ABCDE');
  });

  test.each(['', 'ABCDE', 'ABCDE-FGHJ', 'ABCDE-FGHJKM', 'ABCDE-FGHJU', 'ABCDE-FGHJé'])(
    'is no code: %s',
    (typed) => {
      expect(plainCode(typed)).toBeNull();
    },
  );

  test('an id says what it names', () => {
    expect(freshId('d')).toMatch(/^d-[0-9a-z]{16}$/);
  });
});
