import { describe, expect, test } from 'vitest';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { readingLevel } from '#lib/core/checklist/reading-level.ts';
import { reviewChecklist } from '#lib/core/checklist/review.ts';
import { secondAct } from '#lib/core/checklist/second-act.ts';
import { wordsOf } from '#lib/core/checklist/words-of-text.ts';
import {
  changed,
  checklistNames,
  checklistOf,
  checklistText,
  kilnText,
  lampText,
  stepBlock,
} from '../../../support/checklist-texts.ts';

function advice(text: string): string[] {
  const loaded = loadChecklist(text);
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems, null, 1));
  return reviewChecklist(loaded.checklist, loaded.places).map(
    ({ path, says }) => `${path}: ${says}`,
  );
}

const inStep = (id: string, from: string, to: string, text = kilnText) =>
  changed(text, stepBlock(text, id), changed(stepBlock(text, id), from, to));

describe('advice', () => {
  test.each([
    ...checklistNames('shipped').map((name) => [name, 'shipped'] as const),
    ['bench-lamp.yaml', 'test'] as const,
    ['glass-kiln-element.yaml', 'test'] as const,
  ])('on %s (%s): none', (name, folder) => {
    expect(advice(checklistText(name, folder))).toEqual([]);
  });

  const cases: readonly [string, string, RegExp][] = [
    [
      'a limit without origin',
      inStep('element-ohms', '    limit: maker\n', ''),
      /steps\[14\].do: element-ohms judges by a limit without origin/,
    ],
    [
      'a proof without origin of its limit',
      inStep('dead', '    limit: default\n', ''),
      /dead judges by a limit without origin/,
    ],
    [
      'a maker’s limit without reference',
      inStep('element-ohms', '    reference: iec-60335\n', ''),
      /The limit comes from the maker and no reference says where/,
    ],
    [
      'a release without origin',
      changed(kilnText, 'below: 48 °C, limit: default,', 'below: 48 °C,'),
      /sources\.heat\.release\.cool: The limit 48 °C has no origin/,
    ],
    [
      'a wait without measurement',
      changed(
        kilnText,
        'release: { cool: { below: 48 °C, limit: default, reference: iso-13732 } }',
        'release: { stated: { states: An hour has passed, reference: iso-13732 } }',
      ),
      /heat is let go by a look or a wait alone; measure what is left/,
    ],
    [
      'a hot limit',
      changed(kilnText, 'below: 48 °C', 'below: 60 °C'),
      /60 °C is above 48 °C, where ten minutes of contact burn/,
    ],
    [
      'a wide limit for dead',
      changed(kilnText, 'below: 2 V', 'below: 30 V'),
      /30 V is a wide limit for dead/,
    ],
    [
      'a source that nothing exposes',
      inStep('lid-up', '    exposes: [heat]\n', '')
        .replace(/exposes: \[mains, heat\]/g, 'exposes: [mains]')
        .replace('exposes: [mains, smoothing, heat]', 'exposes: [mains, smoothing]')
        .replace('    exposes: [heat]\n', ''),
      /sources\.heat: No step exposes a person to heat/,
    ],
    [
      'a step that says two things',
      inStep(
        'cover-off',
        'say: Take off the rear cover.',
        'say: Take off the rear cover and count the screws.',
      ),
      /cover-off says two things; make “count the screws” a step of its own/,
    ],
    [
      'a step of two sentences',
      inStep(
        'cover-off',
        'say: Take off the rear cover.',
        'say: Take off the rear cover. Bag its screws.',
      ),
      /make “Bag its screws” a step/,
    ],
    [
      'a long step',
      inStep(
        'cover-off',
        'say: Take off the rear cover.',
        `say: Take off the rear cover ${'in one go '.repeat(8)}now.`,
      ),
      /cover-off says 30 words; 25 is the most/,
    ],
    [
      'hard words',
      inStep(
        'cool',
        'why: A wait alone proves nothing about heat.',
        'why: Considerable thermodynamic accumulation characterizes refractory constructions irrespective of superficial temperatures.',
      ),
      /cool reads like school year \d\d/,
    ],
    ['no least time', inStep('cover-off', '    takes: 30 s\n', ''), /cover-off has no takes/],
    [
      'a gate that does not say why',
      inStep('breaker-lock', '    why: Only your own key may bring the power back.\n', ''),
      /breaker-lock is a gate and does not say why/,
    ],
    [
      'ohms on a machine that may be live',
      inStep('element-ohms', '    exposes: [mains, smoothing]\n', ''),
      /element-ohms reads resistance and exposes no electrical source/,
    ],
    [
      'a reading that accepts anything',
      inStep('heats', '    accept: { least: 60 °C }\n', ''),
      /heats reads and accepts anything/,
    ],
    [
      'a caution that comes late',
      inStep(
        'rewire',
        '    photo: after\n',
        '    photo: after\n    cautions: [{ signal: danger, text: It can still be live. }]\n',
      ).replace(
        / {4}cautions:\n {6}- \{\n {10}signal: danger,\n {10}text: Keep your hands off[^}]*\}\n/u,
        '',
      ),
      /steps\[11\].cautions: drain warns of mains, which cover-off has already exposed/,
    ],
    [
      'a reference that nothing cites',
      changed(kilnText, 'references:\n', 'references:\n  spare: A spare book\n'),
      /references\.spare: Nothing cites spare/,
    ],
    [
      'an end that nothing opens',
      changed(kilnText, 'ends:\n', 'ends:\n  spare: { label: Spare, kind: cover }\n'),
      /ends\.spare: No step opens spare/,
    ],
    [
      'something to wear that nothing asks for',
      inStep('gloves', 'on: [cut-resistant gloves A4]', 'on: [cut-resistant gloves A4]')
        .replace('needs: [gloves, slack]', 'needs: [slack]')
        .replaceAll('    wearing: [cut-resistant gloves A4]\n', '')
        .replace('    bare: [cut-resistant gloves A4]\n', ''),
      /Nothing asks for what gloves puts on/,
    ],
    [
      'a need that the order keeps anyway',
      inStep('breaker-off', '    takes', '    needs: [count]\n    takes'),
      /breaker-off needs count, which comes before it anyway and which nothing ends/,
    ],
    [
      'an energy that is cut and never proven gone',
      changed(
        kilnText,
        '  heat:\n',
        '  air:\n    kind: pressure\n    label: Blower air\n    points:\n      tap: { label: Air tap, by: valve, control: exclusive }\n  heat:\n',
      )
        .replace(
          '  - id: breaker-off\n',
          '  - id: air-off\n    phase: isolate\n    do: isolate\n    source: air\n    point: tap\n    say: Shut the air tap.\n  - id: breaker-off\n',
        )
        .replace(/exposes: \[mains, heat\]/, 'exposes: [mains, heat, air]')
        .replace(
          '  - id: case-again\n',
          '  - id: air-on\n    phase: restore\n    do: restore\n    source: air\n    point: tap\n    say: Open the air tap.\n  - id: case-again\n',
        ),
      /sources\.air: air is cut and never proven gone/,
    ],
    [
      'a second hand that nobody planned',
      inStep('count', '    takes', '    twice: true\n    takes'),
      /count wants a second hand; say people: 2/,
    ],
  ];
  test.each(cases)('on %s', (_, text, says) => {
    expect(advice(text)).toContainEqual(expect.stringMatching(says));
  });

  test('has the line of what it speaks of', () => {
    const loaded = loadChecklist(
      changed(lampText, '    takes: 15 s\n  - id: wires', '  - id: wires'),
    );
    if (!loaded.ok) throw new Error('unexpected');
    const [only, ...others] = reviewChecklist(loaded.checklist, loaded.places);
    expect(others).toEqual([]);
    expect(only?.line).toBe(
      lampText.split('\n').findIndex((line) => line.includes('id: base-off')) + 1,
    );
  });

  test('leaves the words of other languages alone', () => {
    const text = changed(
      changed(lampText, 'language: en', 'language: es'),
      'say: Take off the base plate.',
      'say: Quite la tapa and count the screws.',
    );
    expect(reviewChecklist(checklistOf(text))).toEqual([]);
  });
});

describe('reading level', () => {
  // ARI by hand, 4.71 letters per word + 0.5 words per sentence - 21.43 (Smith and Senter 1967):
  // 9 words, 35 letters, one sentence: 18.317 + 4.5 - 21.43 = 1.387.
  test('is the Automated Readability Index', () => {
    expect(wordsOf('The quick brown fox jumps over the lazy dog.').join('')).toHaveLength(35);
    expect(readingLevel('The quick brown fox jumps over the lazy dog.')).toBeCloseTo(1.387, 3);
  });

  test('says nothing about a few words', () => {
    expect(readingLevel('Extraordinarily complicated thermodynamics.')).toBe(0);
  });
});

describe('a second act', () => {
  test.each([
    ['Take off the cover and bag its screws.', 'bag its screws'],
    ['Raise the top, then seat the prop.', 'seat the prop'],
    ['Lock it, and then take the key.', 'take the key'],
    ['Take off the cover; count the screws.', 'count the screws'],
  ])('%s', (say, second) => {
    expect(secondAct(say, 'en')).toBe(second);
  });

  test.each([
    'Measure between switch and lock to the board.',
    'Tell the customer what was found, what was declined and what not to touch.',
    'Look for the bracket and the foot.',
    'Put the plug in with every knob at off.',
  ])('there is none in: %s', (say) => {
    expect(secondAct(say, 'en')).toBeNull();
  });
});
