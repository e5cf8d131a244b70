import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import {
  changeOver,
  eitherKind,
  normallyClosed,
  normallyOpen,
  twoPairs,
  type ContactMeaning,
} from '#lib/core/measure/contact-patterns.ts';

const catalogue = (language: string) =>
  JSON.parse(
    readFileSync(new URL(`../../../src/lib/ui/words/${language}.json`, import.meta.url), 'utf8'),
  ) as Record<string, unknown>;
const [english, spanish] = [catalogue('en'), catalogue('es')];

type Rows = Readonly<Record<string, ContactMeaning>>;
const tables: readonly (readonly [string, Rows])[] = [
  ['no', normallyOpen],
  ['nc', normallyClosed],
  ['three', changeOver],
  ['four', twoPairs],
];
const key = (table: string, pattern: string) =>
  `contact_means_${table}_${pattern.replace('/', '_').toLowerCase()}`;

describe('the longer meaning of every pattern', () => {
  for (const [table, rows] of tables)
    test.each(Object.keys(rows))(`${table} %s stands in both catalogues`, (pattern) => {
      expect(english[key(table, pattern)]).toBe(rows[pattern]?.says);
      expect(spanish[key(table, pattern)]).not.toBe(rows[pattern]?.says);
      expect(spanish[key(table, pattern)]).toEqual(expect.stringMatching(/\.$/u));
    });

  test('a part of unknown kind borrows what it does not say itself', () => {
    for (const pattern of ['O/C', 'C/O'])
      expect(english[key('any', pattern)]).toBe(eitherKind[pattern]?.says);
    for (const pattern of ['C/C', 'O/O'])
      expect(eitherKind[pattern]?.says).toBe(normallyOpen[pattern]?.says);
  });
});
