/** `CASES.md` is a list that a person reads; here it is held to the tests that it names. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';

const list = readFileSync(new URL('CASES.md', import.meta.url), 'utf8');
const cases = list
  .split('\n')
  .filter((line) => /^\| (?!class|-)/.test(line))
  .map((line) =>
    line
      .slice(2, -2)
      .split(/ +\| +/)
      .map((cell) => cell.trim()),
  );

describe('the list of abuses', () => {
  test.each(cases)('%s: %s', (_kind, _abuse, comesOut, file, text) => {
    expect(comesOut).toMatch(/\S/);
    expect(text).toMatch(/\S{4}/);
    expect(readFileSync(new URL(`../${file}`, import.meta.url), 'utf8')).toContain(text);
  });

  test('names each once, some in every class, and says what is not shown', () => {
    const named = cases.map(([kind, abuse]) => `${kind}: ${abuse}`);
    expect(new Set(named).size).toBe(named.length);
    const counts = Object.groupBy(cases, ([kind]) => kind ?? '');
    expect(Object.keys(counts).sort()).toEqual(['device', 'files', 'record', 'rules', 'server']);
    for (const [kind, some] of Object.entries(counts))
      expect(some?.length, kind).toBeGreaterThan(3);
    expect(list).toMatch(/## Not shown\n\n(?:- .+: .+\n)+/);
  });
});
