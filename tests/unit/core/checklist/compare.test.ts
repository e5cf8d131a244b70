import { expect, test } from 'vitest';
import { compareChecklists } from '#lib/core/checklist/compare.ts';
import { setWord, swappedWithNext, withoutStepAt } from '#lib/core/checklist/edit-text.ts';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { canonicalText } from '#lib/core/record/canonical.ts';
import { checklistText } from '../../../support/checklist-texts.ts';

const grinder = checklistText('bench-grinder.yaml', 'shipped');
function read(text: string) {
  const loaded = loadChecklist(text, 'form');
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
  return loaded.checklist;
}
const indexOf = (text: string, id: string) => read(text).steps.findIndex((step) => step.id === id);

test('nothing changed', () => {
  expect(compareChecklists(read(grinder), read(grinder))).toEqual([]);
  // Kept beside a job, a list has the keys of every block in another order.
  const loaded = loadChecklist(grinder);
  const kept = loaded.ok && JSON.parse(canonicalText(loaded.json));
  expect(compareChecklists(kept, read(grinder))).toEqual([]);
});

test('a word, a limit, the revision, a step gone', () => {
  const gap = indexOf(grinder, 'rest-gap');
  let text = setWord(grinder, ['revision'], '2');
  text = setWord(text, ['steps', gap, 'accept', 'most'], '0.1 in');
  text = setWord(text, ['sources', 'mains', 'label'], 'Supply of the grinder');
  text = withoutStepAt(text, indexOf(text, 'tongue-gap'));
  expect(compareChecklists(read(grinder), read(text.replace(', tongue-gap]', ']')))).toEqual([
    {
      kind: 'changed',
      what: 'head',
      id: 'bench-grinder',
      key: 'revision',
      before: '1',
      after: '2',
    },
    {
      kind: 'changed',
      what: 'source',
      id: 'mains',
      key: 'label',
      before: 'Grinder supply',
      after: 'Supply of the grinder',
    },
    {
      kind: 'removed',
      what: 'step',
      id: 'tongue-gap',
      says: 'Measure the wider gap between tongue and wheel.',
    },
    {
      kind: 'changed',
      what: 'step',
      id: 'rest-gap',
      key: 'accept',
      before: 'most: 0.125 in',
      after: 'most: 0.1 in',
    },
    {
      kind: 'changed',
      what: 'step',
      id: 'clear',
      key: 'needs',
      before: 'bond, rest-gap, tongue-gap',
      after: 'bond, rest-gap',
    },
  ]);
});

test('one step in another place is one move, not two', () => {
  const at = indexOf(grinder, 'leads');
  const moved = swappedWithNext(swappedWithNext(grinder, at), at + 1);
  expect(compareChecklists(read(grinder), read(moved))).toEqual([
    { kind: 'moved', id: 'leads', after: 'capacitor' },
  ]);
});
