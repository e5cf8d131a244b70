import { describe, expect, test } from 'vitest';
import { stringify } from 'yaml';
import { applyTranslation } from '#lib/core/checklist/translation.ts';
import { inWords, wordsOf, type Words } from '#lib/core/checklist/words.ts';
import {
  checklistNames,
  checklistOf,
  checklistText,
  kilnText,
} from '../../../support/checklist-texts.ts';

const kiln = checklistOf(kilnText);

/** Every word with a mark before it: a translation into nothing. */
function marked(words: Words): Words {
  if (typeof words === 'string') return `¡${words}`;
  if (Array.isArray(words)) return words.map(marked);
  return Object.fromEntries(
    Object.entries(words).map(([key, inner]) => [key, marked(inner as Words)]),
  );
}

type Tree = Record<string, unknown>;
const head = { translates: kiln.id, revision: kiln.revision, language: 'es' };
const whole = (): Tree => ({ ...head, ...(marked(wordsOf(kiln)) as Tree) });
const apply = (tree: Tree, name?: string) =>
  applyTranslation(kiln, stringify(tree, { lineWidth: 0 }), name);
const said = (tree: Tree, name?: string) => {
  const translated = apply(tree, name);
  return translated.ok ? [] : translated.problems.map(({ path, says }) => `${path}: ${says}`);
};

describe('the words of a checklist', () => {
  const all = [
    ...checklistNames('shipped').map((name) => checklistText(name, 'shipped')),
    ...checklistNames('test').map((name) => checklistText(name)),
  ].map(checklistOf);

  test.each(all)('of $id go round unchanged', (checklist) => {
    expect(inWords(checklist, wordsOf(checklist), checklist.language)).toEqual(checklist);
  });

  test.each(all)('of $id are all of them', (checklist) => {
    const spoken = inWords(checklist, marked(wordsOf(checklist)), 'es');
    const plain: string[] = [];
    const walk = (value: unknown, path: string): void => {
      if (typeof value === 'string') {
        // A sentence left as it was: two spaces make a sentence, and citations are none of these words.
        const quantity = /^[\d.]+ \S+$/u.test(value) || /^(CAT [IV]+)$/u.test(value);
        if (/ /u.test(value) && !value.startsWith('¡') && !quantity)
          plain.push(`${path}: ${value}`);
      } else if (typeof value === 'object' && value !== null) {
        for (const [key, inner] of Object.entries(value)) {
          if (key !== 'references') walk(inner, `${path}.${key}`);
        }
      }
    };
    walk(spoken, '');
    expect(plain).toEqual([]);
    expect(spoken.steps.map(({ id }) => id)).toEqual(checklist.steps.map(({ id }) => id));
    expect(spoken.language).toBe('es');
  });
});

describe('a translation', () => {
  test('that is whole is taken, and changes words alone', () => {
    const translated = apply(whole(), 'checklists/glass-kiln-element.es.yaml');
    expect(translated).toMatchObject({ ok: true, language: 'es', advice: [] });
    if (!translated.ok) return;
    const back = inWords(translated.checklist, wordsOf(kiln), 'en');
    expect(back.steps.find(({ id }) => id === 'wires')).toEqual(
      kiln.steps.find(({ id }) => id === 'wires'),
    );
    expect(translated.checklist.sources['mains']?.points?.['plug']).toEqual({
      label: '¡Kiln plug',
      by: 'plug',
      control: 'exclusive',
    });
  });

  test('names things to wear the same everywhere', () => {
    const translated = apply(whole());
    if (!translated.ok) throw new Error('unexpected');
    const worn = translated.checklist.steps.flatMap((step) => [
      ...(step.wearing ?? []),
      ...(step.bare ?? []),
      ...(step.do === 'wear' ? [...(step.on ?? []), ...(step.off ?? [])] : []),
    ]);
    expect(new Set(worn)).toEqual(new Set(['¡cut-resistant gloves A4']));
  });

  test.each(['say', 'why', 'states', 'cautions', 'options'])('without one %s is refused', (key) => {
    const tree = whole();
    const steps = tree.steps as Record<string, Tree>;
    const [id, step] = Object.entries(steps).find(([, each]) => key in each) ?? ['', {}];
    delete step[key];
    expect(said(tree)).toEqual([
      expect.stringMatching(new RegExp(`^steps\\.${id}\\.${key}: The word for ${key} is missing`)),
    ]);
  });

  const breaks: readonly [string, (tree: Tree) => void, RegExp][] = [
    [
      'of another checklist',
      (tree) => (tree.translates = 'bench-lamp'),
      /translates: This translates bench-lamp/,
    ],
    [
      'of another revision',
      (tree) => (tree.revision = 1),
      /revision: This translates revision 1, and the checklist is at 2/,
    ],
    [
      'into the same language',
      (tree) => (tree.language = 'en'),
      /language: The checklist itself is in en/,
    ],
    ['into no language', (tree) => (tree.language = 'Spanish!'), /short code/],
    ['without its head', (tree) => delete tree.language, /The key language is missing/],
    [
      'without a step',
      (tree) => delete (tree.steps as Tree).wires,
      /steps\.wires: The word for wires is missing: say/,
    ],
    [
      'with a step too many',
      (tree) => ((tree.steps as Tree).wirs = { say: 'x' }),
      /The original has no wirs here/,
    ],
    [
      'with a limit of its own',
      (tree) => (((tree.steps as Tree).case as Tree).limit = 'house'),
      /steps\.case\.limit: The original has no limit here/,
    ],
    [
      'with a caution too few',
      (tree) => (((tree.steps as Tree).case as Tree).cautions = []),
      /has 1 here and this has 0/,
    ],
    [
      'with nothing for a word',
      (tree) => (tree.title = null),
      /title: Here belongs the translation of “Replace a heating element/,
    ],
    ['with a number for a word', (tree) => (tree.title = 5), /title: Here belongs the translation/],
    [
      'with a word for a block',
      (tree) => (tree.ends = 'cover'),
      /ends: The words of ends are missing: rear-cover, lid-prop/,
    ],
  ];
  test.each(breaks)('%s is refused', (_, change, says) => {
    const tree = whole();
    change(tree);
    expect(said(tree)).toContainEqual(expect.stringMatching(says));
  });

  test('in a file of another name is refused', () => {
    expect(said(whole(), 'glass-kiln-element.pt.yaml')).toEqual([
      expect.stringMatching(/should be glass-kiln-element\.es\.yaml/),
    ]);
  });

  test('that says the same as the original is asked about', () => {
    const tree = { ...whole(), title: kiln.title };
    const translated = apply(tree);
    expect(translated.ok && translated.advice).toMatchObject([{ path: 'title' }]);
  });

  test.each(['', 'words', '- a', '{', '%x', 'title: &a [*a]'])('%j is refused in words', (text) => {
    const translated = applyTranslation(kiln, text);
    expect(translated.ok).toBe(false);
    if (!translated.ok) expect(translated.problems[0]?.says).toMatch(/\w+ \w+/);
  });
});
