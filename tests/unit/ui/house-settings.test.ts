import { expect, test } from 'vitest';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { settled } from '../../../src/routes/(shell)/checklists/house-settings.ts';
import { checklistText } from '../../support/checklist-texts.ts';

const text = checklistText('bench-grinder.yaml', 'shipped');
const nothing = { least: '', most: '', keeps: '', unless: '', people: '', languages: '' };
const asked = { firm: 'Alder Row', officer: 'Mara Quill', step: 'rest-gap', ...nothing };

test('a closer limit and more people are written in, with their origin; the rest of the file stays', () => {
  const answer = settled(text, { ...asked, most: '0.1 in', people: '2' }, '2026-11-02');
  expect(answer.refused).toEqual([]);
  expect(answer.applied.join()).toMatch(/rest-gap: .*0\.1 in.*rest-gap: at least 2 present/);
  const loaded = loadChecklist(answer.text ?? '');
  if (!loaded.ok) throw new Error(loaded.problems[0]?.says);
  const step = loaded.checklist.steps.find(({ id }) => id === 'rest-gap');
  expect(step).toMatchObject({ accept: { most: '0.1 in' }, limit: 'house', people: 2 });
  expect(loaded.checklist.references['house-rest-gap']).toContain('Alder Row');
  const comments = (of: string) => of.split('\n').filter((line) => /^\s*#/.test(line));
  expect(comments(answer.text ?? '')).toEqual(comments(text));
});

test.each([
  [{ most: '0.5 in' }, /looser than/],
  [{ step: 'clear', keeps: '30 min' }, /may only be stricter/],
  [{ people: '0' }, /people/],
  [{ languages: 'en, fr' }, /no words in fr/],
  [{ firm: '' }, /firm/],
])('%j is refused with a sentence, and nothing is written', (change, says) => {
  const answer = settled(text, { ...asked, ...change }, '2026-11-02');
  expect(answer.refused.join()).toMatch(says);
  expect(answer.text).toBeUndefined();
});
