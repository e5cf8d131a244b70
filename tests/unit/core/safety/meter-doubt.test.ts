import { describe, expect, test } from 'vitest';
import type { StepResult } from '#lib/core/job/events.ts';
import { CASE_CLEAR, COOL, DEAD, ISOLATED, POLISHER } from '../../../support/polisher.ts';
import { before, broken, did, lapsed, type Happening } from '../../../support/trace.ts';

const found = (...happenings: Happening[]) =>
  broken(POLISHER, [...before(ISOLATED, 'cool'), ...happenings]).filter((one) =>
    /^P[17] /.test(one),
  );

const cool = did('cool', COOL);
const dead = did('dead', DEAD);
const doubt = lapsed('instrumentDoubt', { instrument: 'T-7' });
/** An act that needs the heat gone: the cover stays on while its reading is in doubt. */
const open = did('cover-off');
const GOOD = { expected: '230', shown: '229', unit: 'V' };
const BAD = { expected: '230', shown: '180', unit: 'V' };

/** Whether the heat reading still stands at the end: the capacitor is never drained here. */
function heatStands(...happenings: Happening[]): boolean {
  const { capacitor: _capacitor, ...sources } = POLISHER.sources;
  const steps = POLISHER.steps
    .filter((step) => step.id !== 'drain')
    .map((step) => ({
      ...step,
      ...(step.exposes ? { exposes: step.exposes.filter((id) => id !== 'capacitor') } : {}),
    }));
  const all = [...before(ISOLATED, 'cool'), cool, ...happenings, open];
  return !broken({ ...POLISHER, sources, steps }, all).includes('P1 cover-off');
}

describe('a meter in doubt', () => {
  test('takes back what it read since it was last checked', () => {
    expect(heatStands(dead)).toBe(true);
    expect(heatStands(doubt, dead)).toBe(false);
    expect(heatStands(dead, doubt, dead)).toBe(true);
  });

  test.each<[string, StepResult, boolean]>([
    ['a check before a case test', { ...CASE_CLEAR, before: GOOD }, true],
    ['checks before and after a case test', { ...CASE_CLEAR, before: GOOD, after: GOOD }, true],
    ['a bad check before a case test', { ...CASE_CLEAR, before: BAD }, false],
    ['a bad check after a case test', { ...CASE_CLEAR, before: GOOD, after: BAD }, false],
    ['a bad check before and a good one after', { ...CASE_CLEAR, before: BAD, after: GOOD }, false],
    ['a check of another meter', { ...CASE_CLEAR, instrument: 'T-8' }, false],
    ['a case that reads high, with a good check', { ...CASE_CLEAR, pairs: {} }, true],
  ])('%s clears what was read before it: %#', (_, result, stands) => {
    expect(heatStands(did('case', result), doubt, dead)).toBe(stands);
  });

  test.each<[string, StepResult, boolean]>([
    ['both checks of a proof', DEAD, true],
    [
      'a proof without its second check',
      { pairs: DEAD.pairs!, before: GOOD, instrument: 'T-7' },
      false,
    ],
    ['a proof with a bad second check', { ...DEAD, after: BAD }, false],
    ['a proof with a bad first check', { ...DEAD, before: BAD }, false],
  ])('%s clears what was read before it: %#', (_, result, stands) => {
    expect(heatStands(did('dead', result), doubt, dead)).toBe(stands);
  });

  test('measures again once it was checked', () => {
    expect(found(doubt, cool)).toEqual(['P7 cool']);
    expect(found(doubt, did('case', CASE_CLEAR), cool)).toEqual([]);
    expect(found(doubt, did('case', { ...CASE_CLEAR, before: BAD }), cool)).toEqual(['P7 cool']);
    expect(found(doubt, did('case', { ...CASE_CLEAR, instrument: 'T-8' }), cool)).toEqual([
      'P7 cool',
    ]);
  });

  test('of nobody in particular is every meter of the job', () => {
    expect(found(lapsed('instrumentDoubt'), cool)).toEqual(['P7 cool']);
  });

  test('leaves a reading alone that was taken without a meter', () => {
    const hand = did('cool', { value: '31', unit: '°C' });
    expect(broken(POLISHER, [...before(ISOLATED, 'cool'), hand, doubt, dead])).toEqual([]);
  });
});
