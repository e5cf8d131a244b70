import { expect, test } from 'vitest';
import { test as law, fc } from '@fast-check/vitest';
import { csvCell, csvLine, writtenIn } from '#lib/server/overview/csv.ts';

/** A cell as RFC 4180 has it read back. */
const readBack = (cell: string): string =>
  cell.startsWith('"') ? cell.slice(1, -1).replaceAll('""', '"') : cell;

// OWASP, CSV Injection: the signs that begin a formula, also behind blanks and in their full-width forms.
const FORMULA = /^[\s\p{Cc}]*[=+\-@＝＋－＠]|^[\t\r\n]/u;

test.each([
  '=1+1',
  '+1',
  '-1',
  '@SUM(1)',
  '\tx',
  '\rx',
  '\nx',
  ' =1',
  '\u00a0=1',
  '\u0000=1',
  '＝1',
])('a text that could begin a formula is told apart: %j', (text) => {
  expect(text).toMatch(FORMULA);
  expect(readBack(csvCell(text))).toBe(`'${text}`);
});

test('a plain text, a number below nothing and what is not known stand as they are', () => {
  expect(csvLine(['12 Sorrel Lane', -5, true, null, 'a, "b"'])).toBe(
    '12 Sorrel Lane,-5,true,,"a, ""b"""\r\n',
  );
});

law.prop([fc.oneof(fc.string({ unit: 'binary' }), fc.constantFrom('=', "'", "''=", '\t'))])(
  'no text begins a formula, and each comes back as it was written',
  (text) => {
    const cell = readBack(csvCell(text));
    expect(cell).not.toMatch(FORMULA);
    expect(writtenIn(cell)).toBe(text);
  },
);
