import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'svelte/compiler';
import { expect, test } from 'vitest';

const folders = ['../../src/lib/ui/', '../../src/routes/'].map((folder) =>
  fileURLToPath(new URL(folder, import.meta.url)),
);
const files = folders.flatMap((folder) =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((file) => file.endsWith('.svelte'))
    .map((file) => join(folder, file)),
);

/** The name of the program, numbers to call, and signs are the same in every language. */
const SAME_EVERYWHERE = /^(Stillwire|· Stillwire|112|911)$/u;
const SPOKEN = ['aria-label', 'alt', 'title', 'placeholder'];

interface Node {
  readonly type?: string;
  readonly name?: string;
  readonly data?: string;
  readonly value?: unknown;
}

/** Text that a person would read or hear, written into the component itself. */
export function hardCoded(source: string): string[] {
  const found: string[] = [];
  const visit = (node: unknown): void => {
    if (Array.isArray(node)) return node.forEach(visit);
    if (typeof node !== 'object' || node === null) return;
    const { type, name, data, value } = node as Node;
    if (type === 'Text' && data !== undefined) found.push(data);
    if (type === 'Attribute') {
      if (SPOKEN.includes(name ?? '')) visit(value);
      return;
    }
    Object.values(node).forEach(visit);
  };
  visit(parse(source, { modern: true }).fragment);
  return found
    .map((text) => text.trim())
    .filter((text) => /\p{L}{2,}/u.test(text) && !SAME_EVERYWHERE.test(text));
}

test('the search finds words in text and in spoken attributes', () => {
  expect(hardCoded('<p>Hello there</p>')).toEqual(['Hello there']);
  expect(hardCoded('<button aria-label="Go on" class="act">{m.go()}</button>')).toEqual(['Go on']);
  expect(hardCoded('<p class="soft">{m.go()} ✓ ·</p>')).toEqual([]);
});

test('no component has words of its own', () => {
  expect(files.length).toBeGreaterThan(50);
  const found = files.flatMap((file) =>
    hardCoded(readFileSync(file, 'utf8')).map((text) => `${file}: ${text}`),
  );
  expect(found).toEqual([]);
});

test('no component writes raw HTML', () => {
  expect(files.filter((file) => readFileSync(file, 'utf8').includes('{@html'))).toEqual([]);
});
