/** Results that fit a step, as the explorer and the walks of the tests hand them in. */
import { describe, expect, test } from 'vitest';
import type { Accept, Step } from '#lib/core/checklist/model.ts';
import type { StepResult } from '#lib/core/job/events.ts';
import { planOf, type PlanStep } from '#lib/core/job/plan.ts';
import { sampleResult } from '#lib/core/job/sample-result.ts';
import { at, does, dryer, given, kiln, lamp, type Job } from '../../../support/job-builder.ts';

const sample = (job: Job, step: PlanStep | undefined): StepResult =>
  sampleResult(job.state, step as PlanStep, 'mara');

/** What a reading that accepts this shows, on a lamp whose last step it is. */
function reading(accept: Accept | undefined, quantity = 'resistance'): StepResult {
  const list = lamp().checklist;
  const read = { id: 'read', phase: 'finish', do: 'reading', quantity, say: 'Read.' };
  const step = { ...read, ...(accept === undefined ? {} : { accept }) } as unknown as Step;
  const plan = planOf({ ...list, steps: [...list.steps, step] });
  const { instrument, ...rest } = sample(given(plan), plan.steps.at(-1));
  expect(instrument).toBe('meter-3');
  return rest;
}

describe('a reading is inside of what is accepted', () => {
  test.each<[string, object | undefined, StepResult]>([
    ['nothing is asked', undefined, { value: '1.00', unit: 'ohm' }],
    ['between two', { least: '10 ohm', most: '20 ohm' }, { value: '15.00', unit: 'ohm' }],
    [
      'between two of other units',
      { least: '900 ohm', most: '2 kohm' },
      { value: '1.800', unit: 'kohm' },
    ],
    ['above one', { least: '5 ohm' }, { value: '11.00', unit: 'ohm' }],
    ['below one', { most: '100 ohm' }, { value: '30.00', unit: 'ohm' }],
    ['below nothing', { most: '0 ohm' }, { value: '0.000', unit: 'ohm' }],
    ['an open circuit', { open: true }, { value: 'OL', unit: 'ohm' }],
    /* R = U²/P (Ohm's and Joule's laws): 240² / 1200 = 48. */
    [
      'a heating element',
      { element: { volts: '240 V', watts: '1200 W' } },
      { value: '48.00', unit: 'ohm' },
    ],
    [
      'pairs',
      { pairs: { a: { most: '10 ohm' }, b: { least: '1 ohm', most: '3 ohm' } } },
      { pairs: { a: { value: '3.000', unit: 'ohm' }, b: { value: '2.000', unit: 'ohm' } } },
    ],
  ])('%s', (_, accept, shown) => {
    expect(reading(accept as Accept | undefined)).toEqual(shown);
  });
});

describe('a meter', () => {
  test('in doubt is checked first, and one that is trusted is not', () => {
    const job = at(kiln(), 'wires');
    const ohms = job.state.plan.steps.find(({ step }) => step.id === 'element-ohms');
    const instruments = job.state.instruments.map((each) => ({ ...each, doubted: true }));
    const doubted = { ...job, state: { ...job.state, instruments } };
    expect(sample(job, ohms).before).toBeUndefined();
    expect(sample(doubted, ohms).before).toEqual({ expected: '120', shown: '119.6', unit: 'V' });
  });

  test('of a release shows what is below its limit, and none is needed for what is stated', () => {
    const releases = (job: Job) =>
      job.state.plan.ofKind.release.map((step) => sample(job, job.state.plan.steps[step]));
    const instrument = 'meter-3';
    /* Six tenths of 48 °C. */
    expect(releases(given(kiln()))).toEqual([
      { value: '28.80', unit: '°C', instrument },
      { value: '0.0', unit: 'V', instrument },
    ]);
    expect(releases(given(dryer()))).toEqual([
      { value: '0.0', unit: 'kPa', instrument },
      { value: '0.0', unit: 'V', instrument },
      {},
    ]);
  });
});

test('a proof counts the sources where nobody has yet', () => {
  const plan = lamp();
  const prove = plan.steps[plan.ofKind.prove[0] ?? -1];
  const before = given(plan);
  expect(sample(before, prove).sources).toBe(1);
  expect(sample(given(plan, does('count', { sources: 1 })), prove).sources).toBeUndefined();
});

test('the device of the point is operated, and contacts are healthy', () => {
  const plan = lamp();
  expect(sample(given(plan), plan.steps[plan.ofKind.isolate[0] ?? -1])).toEqual({
    operated: 'plug',
  });
  const contacts = (terminals: number, rest: string) => {
    const steps = plan.checklist.steps.map((step) =>
      step.do === 'contacts' ? ({ ...step, terminals, rest } as unknown as Step) : step,
    );
    const other = planOf({ ...plan.checklist, steps });
    return sample(given(other), other.steps[other.ofKind.contacts[0] ?? -1]);
  };
  expect(contacts(2, 'open')).toEqual({ rest: 'O', pressed: 'C' });
  expect(contacts(2, 'closed')).toEqual({ rest: 'C', pressed: 'O' });
  expect(contacts(3, 'closed')).toEqual({ rest: 'CO', pressed: 'OC' });
});
