import { expect, test } from 'vitest';
import { fill, WORDS } from '#lib/core/job/words.ts';
import { notClearFor, withNames } from '#lib/ui/words/of-people.ts';

const names: Readonly<Record<string, string>> = { bo: 'Bo Castell', 'bo-2': 'Bo Ahlgren' };
const people = Object.keys(names).map((id) => ({ id, present: true }));
const nameOf = (person: string) => names[person] ?? person;

test('every sentence of a refusal that names a person is kept with an id and read with a name', () => {
  const sentences = Object.values(WORDS).filter((each) => /\{(person|owner)\}/u.test(each));
  expect(sentences.length).toBeGreaterThan(10);
  for (const sentence of sentences)
    for (const id of ['bo', 'bo-2'])
      expect(withNames(fill(sentence, { person: id, owner: id }), people, nameOf)).toBe(
        fill(sentence, { person: nameOf(id), owner: nameOf(id) }),
      );
});

test('a sentence about nobody stays as it is', () => {
  expect(withNames('“Bo’s panel” comes first.', people, nameOf)).toBe('“Bo’s panel” comes first.');
});

test('who has not said clear is who is here and not in the roll call', () => {
  const call = {
    id: 'clear',
    do: 'clear' as const,
    fact: { by: 'bo', at: '', result: { people: ['bo'] } },
  };
  const steps = [call] as const;
  expect(notClearFor({ clears: ['clear'] }, { people, steps })).toEqual(['bo-2']);
  expect(notClearFor({ clears: ['dead'] }, { people, steps })).toEqual([]);
  const left = people.map((each) => ({ ...each, present: each.id === 'bo' }));
  expect(notClearFor({ clears: ['clear'] }, { people: left, steps })).toEqual([]);
});
