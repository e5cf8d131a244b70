import { expect, test } from 'vitest';
import { blanksOf } from '#lib/ui/paper/blanks.ts';
import { planNamed } from '../../support/job-builder.ts';

const { checklist } = planNamed('range-door-lock');
const of = (id: string) => {
  const step = checklist.steps.find((each) => each.id === id);
  if (step === undefined) throw new Error(`no step ${id}`);
  return blanksOf(step, checklist);
};

test('a proof asks for every pair with its limit, between two looks at a known source', () => {
  const blanks = of('dead');
  expect(blanks).toHaveLength(8);
  expect(blanks.at(0)?.label).toBe('Known source, before');
  expect(blanks.at(-1)?.label).toBe('Known source, after');
  expect(blanks[1]).toMatchObject({ label: 'L1 – L2', unit: 'V', limit: '< 2 V' });
});

test('a reading has its units and its limit', () => {
  expect(of('harness')[0]).toMatchObject({ kind: 'line', unit: 'Ω / kΩ / MΩ', limit: '≤ 1 Ω' });
  expect(of('supply').map(({ label }) => label)).toEqual(['L – N', 'L – G', 'N – G']);
});

test('a choice has a box for each answer, and what is stated has one with its words', () => {
  const verdict = of('verdict');
  expect(verdict.every(({ kind }) => kind === 'box')).toBe(true);
  expect(verdict.length).toBeGreaterThan(3);
  expect(of('scene')).toHaveLength(1);
});

test('every step of every kind has something to fill in', () => {
  for (const step of checklist.steps)
    expect(blanksOf(step, checklist).length, step.id).toBeGreaterThan(0);
});
