import { describe, expect, test } from 'vitest';
import {
  copiedAs,
  setWord,
  swappedWithNext,
  withoutStepAt,
  withStepAfter,
  wordAt,
} from '#lib/core/checklist/edit-text.ts';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import {
  checklistNames,
  checklistOf,
  checklistText,
  kilnText,
} from '../../../support/checklist-texts.ts';

const grinder = checklistText('bench-grinder.yaml', 'shipped');
/** Lines that are in one text and not in the other. */
const lost = (from: string, to: string) => {
  const left = to.split('\n');
  return from.split('\n').filter((line) => {
    const at = left.indexOf(line);
    if (at < 0) return true;
    left.splice(at, 1);
    return false;
  });
};
const indexOf = (text: string, id: string) =>
  checklistOf(text).steps.findIndex((step) => step.id === id);

describe('a word is set at its place', () => {
  test('and no other letter of the file changes', () => {
    const commented = grinder.replace('steps:\n', 'steps:\n  # first the people\n');
    const at = indexOf(commented, 'unplug');
    const edited = setWord(commented, ['steps', at, 'say'], 'Pull the plug.');
    expect(lost(commented, edited)).toEqual([
      '    say: Pull the plug by its body to a place in your sight.',
    ]);
    expect(lost(edited, commented)).toEqual(['    say: Pull the plug.']);
    expect(wordAt(edited, ['steps', at, 'say'])).toBe('Pull the plug.');
  });

  test('a long one is folded, a folded one may become short', () => {
    const long = `${'Both wheels are whole and dry, and '.repeat(4)}nothing shakes.`;
    const folded = setWord(grinder, ['scope'], long);
    expect(wordAt(folded, ['scope'])).toBe(long);
    expect(folded).toContain('scope: >-\n  Both wheels');
    const short = setWord(folded, ['scope'], 'A grinder');
    expect(short).toContain('\nscope: A grinder\n');
    expect(checklistOf(short).licensed).toBe(checklistOf(grinder).licensed);
  });

  test.each([
    ['a colon', 'Stop: the wheel is cracked'],
    ['a number', '12'],
    ['a quote', 'It’s a "plug", isn\'t it'],
    ['a bracket', '[none]'],
    ['a hash', 'plug # 3'],
    ['two lines', 'one\ntwo'],
  ])('with %s in it', (_, value) => {
    const edited = setWord(grinder, ['title'], value);
    expect(wordAt(edited, ['title'])).toBe(value.replace('\n', ' '));
  });

  test('inside a block of one line', () => {
    const at = indexOf(grinder, 'tongue-gap');
    const edited = setWord(grinder, ['steps', at, 'accept', 'most'], '0.2 in');
    expect(edited).toContain('accept: { most: 0.2 in }');
    const two = setWord(edited, ['steps', at, 'accept', 'least'], '0 in');
    expect(two).toContain('accept: { most: 0.2 in, least: 0 in }');
  });

  test('a number stays a number', () => {
    expect(checklistOf(setWord(grinder, ['revision'], '7')).revision).toBe(7);
  });

  test('where there was none it is added, and an empty one is taken away', () => {
    const at = indexOf(grinder, 'plate');
    const added = setWord(grinder, ['steps', at, 'why'], 'The plate decides.');
    expect(checklistOf(added).steps[at]?.why).toBe('The plate decides.');
    expect(setWord(added, ['steps', at, 'why'], '')).toBe(grinder);
    expect(setWord(grinder, ['steps', at, 'why'], '')).toBe(grinder);
  });

  test('on every text of every shipped step, and it reads back', () => {
    for (const name of checklistNames('shipped')) {
      const text = checklistText(name, 'shipped');
      const { steps } = checklistOf(text);
      for (const at of [0, Math.floor(steps.length / 2), steps.length - 1]) {
        const say = `Look at ${name}, part ${at}.`;
        const edited = checklistOf(setWord(text, ['steps', at, 'say'], say));
        expect(edited).toEqual({
          ...checklistOf(text),
          steps: steps.map((step, index) => (index === at ? { ...step, say } : step)),
        });
      }
    }
  });
});

describe('steps', () => {
  test('are taken out', () => {
    const at = indexOf(grinder, 'ring');
    const rest = loadChecklist(withoutStepAt(kilnText, 3), 'form');
    if (!rest.ok) throw new Error('unexpected');
    const ids = rest.checklist.steps.map(({ id }) => id);
    expect(ids).toEqual(checklistOf(kilnText).steps.flatMap(({ id }, n) => (n === 3 ? [] : [id])));
    expect(lost(withoutStepAt(grinder, at), grinder)).toEqual([]);
  });

  test('change places, and back again it is the same text', () => {
    const there = swappedWithNext(grinder, 4);
    const ids = checklistOf(there).steps.map(({ id }) => id);
    expect(ids.slice(4, 6)).toEqual(['dressed', 'plate']);
    expect(swappedWithNext(there, 4)).toBe(grinder);
    expect(swappedWithNext(grinder, 999)).toBe(grinder);
  });

  test('are added below another, in its phase', () => {
    const at = indexOf(grinder, 'stopped');
    const added = withStepAfter(grinder, at, 'new-step', 'Look again.', 'It stands still');
    expect(checklistOf(added).steps[at + 1]).toEqual({
      id: 'new-step',
      phase: 'isolate',
      do: 'confirm',
      states: 'It stands still',
      say: 'Look again.',
      takes: '10 s',
    });
    expect(withoutStepAt(added, at + 1)).toBe(grinder);
  });
});

test('a copy has its own id, begins at revision 1 and is of its day', () => {
  const copy = checklistOf(
    copiedAs(setWord(grinder, ['revision'], '4'), 'our-grinder', '2026-12-01'),
  );
  expect(copy).toMatchObject({ id: 'our-grinder', revision: 1, issued: '2026-12-01' });
  expect(copy.steps).toEqual(checklistOf(grinder).steps);
});
