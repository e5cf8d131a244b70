/** Text made to confuse, to hide something or to tire the reader: each is refused in words, quickly. */
import { describe, expect, test } from 'vitest';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { changed, lampText, problemsOf } from '../../../support/checklist-texts.ts';
import { ownTime } from '../../../support/own-time.ts';

const title = 'title: Replace the switch of a bench lamp';
const titled = (line: string) => changed(lampText, title, line);
const many = (times: number, piece: (at: number) => string) =>
  Array.from({ length: times }, (_, at) => piece(at)).join('');

describe('two readers could take it differently', () => {
  const cases: readonly [string, string, RegExp][] = [
    [
      'a duplicate key',
      titled(`${title}\ntitle: Another`),
      /^title: The key title is written twice here/,
    ],
    [
      'a duplicate step key',
      changed(lampText, 'end: base\n    exposes', 'end: base\n    end: base\n    exposes'),
      /The key end is written twice/,
    ],
    ['a duplicate key in quotes', titled(`${title}\n"title": Another`), /written twice/],
    ['a tag', titled('title: !!str Replace'), /^title: The tag .* is not read here/],
    [
      'a tag of its own',
      titled('title: !lamp Replace'),
      /The tag !lamp is not read|Tags .* not read/,
    ],
    [
      'a tag on a list',
      changed(lampText, 'competence: [electrical]', 'competence: !!set { electrical }'),
      /tag|list/i,
    ],
    ['binary data', titled('title: !!binary aGVsbG8='), /The tag .* is not read here/],
    [
      'a merge key',
      changed(lampText, 'references:\n', 'references:\n  <<: { a: b }\n'),
      /Merge keys \(<<\) are not read here/,
    ],
    ['two documents', `${lampText}---\n${lampText}`, /A second document begins here/],
    [
      'a second document behind an end mark',
      `${lampText}...\n---\na: b\n`,
      /A second document begins here/,
    ],
    ['a directive', `%TAG ! tag:example.org,2026:\n---\n${lampText}`, /Directives/],
    ['another YAML', `%YAML 1.1\n---\n${lampText}`, /Directives/],
    ['a list as a key', `${lampText}? [a, b]\n: c\n`, /A key is one word here/],
    [
      'a number as a key',
      changed(lampText, 'ends:\n', 'ends:\n  1: { label: One, kind: cover }\n'),
      /The key 1 is not text; put it in quotes/,
    ],
    ['no key before the colon', `${lampText}: lost\n`, /A key is missing before the colon/],
    [
      'a key that reaches into the program',
      changed(lampText, 'ends:\n', 'ends:\n  __proto__: { label: One, kind: cover }\n'),
      /This word cannot be a key here/,
    ],
    [
      'an alias as a key',
      `${changed(lampText, title, 'title: &t Replace')}*t : x\n`,
      /An alias cannot be a key here/,
    ],
    [
      'an alias of nothing',
      titled('title: *nothing'),
      /names nothing above it|alias cannot be read/,
    ],
    ['not a number', changed(lampText, 'revision: 1', 'revision: .nan'), /no ordinary number/],
    ['an endless number', changed(lampText, 'revision: 1', 'revision: .inf'), /no ordinary number/],
    [
      'a number past exactness',
      changed(lampText, 'revision: 1', 'revision: 9007199254740993'),
      /too large to keep exactly/,
    ],
    [
      'a tab as indent',
      changed(lampText, '    phase: arrive', '\tphase: arrive'),
      /A tab cannot indent|does not (fit|belong)/,
    ],
    ['an open quote', titled('title: "Replace'), /closing quote|on one line/],
    [
      'an open bracket',
      changed(lampText, 'competence: [electrical]', 'competence: [electrical'),
      /bracket|comma/,
    ],
    ['a colon too many', titled('title: Lamp: its switch'), /put a text with ": " in quotes/],
    ['a reserved mark', titled('title: @lamp'), /cannot begin with this mark/],
    ['a wrong escape', titled('title: "\\q"'), /backslash/],
    ['a lone half of a character', titled('title: "\\ud83d lamp"'), /half a character|backslash/],
    ['a mark that cannot be seen', titled('title: "Lamp \\u0000"'), /mark that cannot be seen/],
    ['letters that run backwards', titled('title: Lamp \u202egnorw'), /mark that cannot be seen/],
  ];
  test.each(cases)('%s', (_, text, says) => {
    const problems = problemsOf(text).map((problem) => `${problem.path}: ${problem.says}`);
    expect(problems).toContainEqual(expect.stringMatching(says));
  });
});

describe('it would tire the reader', () => {
  const mib = 1 << 20;
  const bomb = many(
    9,
    (at) => `a${at + 1}: &a${at + 1} [${Array(5).fill(`*a${at}`).join(', ')}]\n`,
  );
  const cases: readonly [string, () => string, RegExp][] = [
    ['more than 1 MiB', () => `${lampText}# ${'x'.repeat(mib)}`, /larger than 1 MiB/],
    [
      'more than 1 MiB in bytes, not in letters',
      () => `# ${'é'.repeat(mib * 0.6)}\n${lampText}`,
      /larger than 1 MiB/,
    ],
    [
      'nesting of 33',
      () => `${lampText}deep: ${'['.repeat(33)}${']'.repeat(33)}\n`,
      /Nested deeper than 32/,
    ],
    ['nesting without end', () => '['.repeat(mib - 1), /words and marks/],
    ['nesting of blocks without end', () => '- '.repeat(30_000), /Nested far deeper than 32/],
    [
      '51 aliases',
      () =>
        `${changed(lampText, title, 'title: &t Lamp')}list: [${Array(51).fill('*t').join(', ')}]\n`,
      /one alias more than 50/,
    ],
    [
      'aliases that double',
      () => `a0: &a0 [x, x, x, x, x, x, x, x, x]\n${bomb}`,
      /aliases make this file too large|one alias more|the key/i,
    ],
    [
      'an alias of itself',
      () => `${lampText}loop: &loop [*loop]\n`,
      /Nested deeper than 32|one alias more/,
    ],
    [
      'a hundred thousand keys',
      () => many(60_000, (at) => `k${at}: 1\n`),
      /words and marks|not known/,
    ],
    ['commas', () => `[${','.repeat(mib - 2)}`, /words and marks/],
    ['quotes', () => '"'.repeat(mib - 1), /words and marks/],
    ['anchors', () => '&a '.repeat(mib / 3 - 1), /words and marks/],
    ['comments', () => '#\n'.repeat(mib / 2 - 1), /words and marks/],
    ['document marks', () => '---\n'.repeat(mib / 4 - 1), /words and marks/],
  ];
  test.each(cases)('%s', (_, make, says) => {
    const text = make();
    const began = ownTime();
    const problems = problemsOf(text);
    expect(ownTime() - began).toBeLessThan(3000);
    expect(problems).toContainEqual(expect.objectContaining({ says: expect.stringMatching(says) }));
    for (const { line, column } of problems) expect(Math.min(line, column)).toBeGreaterThan(0);
  });

  test('nesting of 32 and 50 aliases are still read', () => {
    const deep = `${'['.repeat(31)}${']'.repeat(31)}`;
    const aliases = Array(50).fill('*t').join(', ');
    const text = `${changed(lampText, title, 'title: &t Lamp')}extra: [${deep}, ${aliases}]\n`;
    expect(problemsOf(text).map(({ says }) => says)).toEqual([
      expect.stringMatching(/^The key extra is not known/),
    ]);
  });

  test.each(['toString: x', 'constructor: x', 'valueOf: { a: b }', 'hasOwnProperty: 1'])(
    'a block with the key of every object, %s, is no more than that',
    (key) => {
      for (const place of [
        'phase: refit\n    do: reseat',
        'base: { label: Base plate, kind: cover }',
      ]) {
        const text = changed(lampText, place, place.replace(/: [^\n]*/u, `: { ${key} }`));
        expect(
          problemsOf(text)
            .map(({ says }) => says)
            .join(' '),
        ).toMatch(/block of keys|not known/);
      }
      expect(problemsOf(changed(lampText, 'do: prove', 'do: constructor'))[0]?.says).toMatch(
        /no kind of step/,
      );
    },
  );

  test.each([undefined, null, 7, {}, [], new Uint8Array(3)])('%j is no text', (value) => {
    const loaded = loadChecklist(value as unknown as string);
    expect(loaded).toMatchObject({
      ok: false,
      problems: [{ says: expect.stringContaining('text') }],
    });
  });
});
