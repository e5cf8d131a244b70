import { expect, test } from 'vitest';
import { applyTranslation } from '#lib/core/checklist/translation.ts';
import { competenceSays } from '#lib/ui/words/of-competence.ts';
import english from '#lib/ui/words/en.json' with { type: 'json' };
import spanish from '#lib/ui/words/es.json' with { type: 'json' };
import { refusalSays } from '#lib/ui/words/of-refusals.ts';
import { labelsOf } from '../../../src/routes/(shell)/jobs/[id]/spoken.ts';
import { checklistNames, checklistOf, checklistText } from '../../support/checklist-texts.ts';

const shipped = (name: string) => checklistOf(checklistText(name, 'shipped'));

test('every trade that a list of the shelf asks for has words in both languages', () => {
  const trades = new Set(checklistNames('shipped').flatMap((name) => shipped(name).competence));
  expect(trades.size).toBeGreaterThan(9);
  for (const trade of trades) {
    const key = `competence_${trade.replaceAll('-', '_')}`;
    expect(Object.keys(spanish)).toContain(key);
    expect(competenceSays([trade])).toBe((english as Record<string, unknown>)[key]);
  }
  expect(competenceSays(['gas', 'our-own'])).toBe('gas, our-own');
});

test('a refusal names what is to be worn as the translation of the list does', () => {
  const checklist = shipped('pv-string-isolator.yaml');
  const file = 'pv-string-isolator.es.yaml';
  const read = applyTranslation(checklist, checklistText(file, 'shipped'), file);
  if (!read.ok) throw new Error('unexpected');
  const labels = labelsOf(checklist, read.checklist);
  const says = refusalSays(
    {
      code: 'must-wear',
      key: 'mustWear',
      args: { person: 'ana', items: 'insulating gloves class 0, arc-rated face shield' },
      says: '',
      clears: [],
    },
    { checklist, nameOf: () => 'Ana', inWords: (label) => labels.get(label) ?? label },
  );
  expect(says).toBe('Ana must be wearing: guantes aislantes clase 0, careta contra arco.');
});
