import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { WORDS } from '#lib/core/job/words.ts';

const words = fileURLToPath(new URL('../../../src/lib/ui/words/', import.meta.url));
const sources = fileURLToPath(new URL('../../../src/', import.meta.url));
const settings = JSON.parse(readFileSync(`${words}project.inlang/settings.json`, 'utf8')) as {
  locales: string[];
};

type Catalogue = Readonly<Record<string, unknown>>;
const catalogue = (language: string): Catalogue =>
  JSON.parse(readFileSync(`${words}${language}.json`, 'utf8')) as Catalogue;
const english = catalogue('en');

/** Every sentence of a message: one, or one for each plural. */
function sentences(message: unknown): string[] {
  if (typeof message === 'string') return [message];
  const [variants] = message as [{ match: Record<string, string> }];
  return Object.values(variants.match);
}

const places = (text: string) => [...text.matchAll(/\{(\w+)\}/gu)].map(([, name]) => name).sort();

describe.each(settings.locales)('the catalogue of %s', (language) => {
  const own = catalogue(language);

  test('has the same messages as the English one', () => {
    expect(Object.keys(own).sort()).toEqual(Object.keys(english).sort());
  });

  test('says something in each, with the same places to fill', () => {
    for (const [key, message] of Object.entries(own)) {
      const wanted = places(sentences(english[key])[0] ?? '');
      for (const text of sentences(message)) {
        expect(text.trim(), key).not.toBe('');
        expect(places(text), `${language} ${key}`).toEqual(wanted);
      }
    }
  });

  test('never says that anything is safe, compliant or certified', () => {
    for (const [key, message] of Object.entries(own))
      for (const text of sentences(message))
        expect(text, key).not.toMatch(
          /\b(safe|compliant|certified|seguro|segura|certificad[oa])\b/iu,
        );
  });
});

test('every refusal of the engine has its sentence, with the engine’s own places', () => {
  for (const [key, text] of Object.entries(WORDS)) {
    const message = `refusal_${key.replace(/[A-Z]/gu, (letter) => `_${letter.toLowerCase()}`)}`;
    expect(english[message], message).toBe(text);
  }
});

test('every message is said somewhere', () => {
  const files = readdirSync(sources, { recursive: true, encoding: 'utf8' })
    .filter((file) => /\.(svelte|ts)$/u.test(file) && !file.includes('paraglide'))
    .map((file) => readFileSync(join(sources, file), 'utf8'));
  const said = new Set(
    files.flatMap((text) => [...text.matchAll(/\bm\.(\w+)/gu)].map(([, name]) => name)),
  );
  expect(Object.keys(english).filter((key) => !said.has(key))).toEqual([]);
});
