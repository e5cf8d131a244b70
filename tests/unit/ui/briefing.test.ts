import { expect, test } from 'vitest';
import { picturesOf } from '#lib/ui/step/briefing.ts';
import { checklistNames, checklistOf, checklistText } from '../../support/checklist-texts.ts';

const shipped = (name: string) => checklistOf(checklistText(name, 'shipped'));

test('a briefing shows every danger of the list, and only those, before what keeps people whole', () => {
  for (const name of checklistNames('shipped')) {
    const list = shipped(name);
    const pictures = picturesOf(list);
    const kinds = new Set(Object.values(list.sources).map(({ kind }) => kind));
    expect(new Set(pictures.slice(0, kinds.size))).toEqual(kinds);
    expect(pictures.at(-1)).toBe('stop');
    expect(pictures).toEqual(expect.arrayContaining(['lock', 'test']));
    expect(list.steps.some((step) => step.do === 'tell')).toBe(true);
  }
});

test('what a list does not have is not drawn', () => {
  expect(picturesOf(shipped('range-door-lock.yaml'))).toContain('prop');
  const grinder = picturesOf(shipped('bench-grinder.yaml'));
  expect(grinder).toContain('discharge');
  expect(grinder).not.toContain('gas');
  expect(grinder).not.toContain('prop');
});
