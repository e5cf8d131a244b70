import { describe, expect, test } from 'vitest';
import type { StepResult } from '#lib/core/job/events.ts';
import {
  CASE_CLEAR,
  DEAD,
  ISOLATED,
  POLISHER,
  WHOLE_JOB,
  polisherStep,
  polisherWith,
} from '../../../support/polisher.ts';
import {
  MARA,
  before,
  broken,
  corrected,
  did,
  lapsed,
  opened,
  tried,
  windowOpened,
  type Happening,
} from '../../../support/trace.ts';

const found = (happenings: readonly Happening[], checklist = POLISHER) =>
  broken(checklist, happenings).filter((one) => one.startsWith('P11 '));

const tested = (result: StepResult = CASE_CLEAR) => [opened(MARA), did('case', result)];
const unplug = did('unplug');

describe('P11: case before hands', () => {
  test('passes with a test before the hand on the plug', () => {
    expect(found([...tested(), unplug])).toEqual([]);
  });

  test('is broken by the hand on the plug first', () => {
    expect(found([opened(MARA), unplug])).toEqual(['P11 unplug']);
  });

  test.each([
    ['cover-off', true],
    ['cover-on', true],
    ['wires', true],
    ['rewire', true],
    ['cool', true],
    ['ohms', true],
    ['unplug', true],
    ['off', false],
    ['find', false],
    ['gloves', false],
    ['look', false],
    ['spins', false],
    ['plug-in', false],
  ])('%s is a hand on the machine: %s', (step, hands) => {
    expect(found([opened(MARA), did(step)])).toEqual(hands ? [`P11 ${step}`] : []);
  });

  test('contacts are hands too', () => {
    const contacts = polisherStep('look', { do: 'contacts', terminals: 2 } as never);
    expect(found([opened(MARA), did('look')], contacts)).toEqual(['P11 look']);
  });

  const pair = (value: string, unit = 'V') => ({ 'case-ground': { value, unit } });
  const { before: _before, ...unchecked } = CASE_CLEAR;
  const bad = { expected: '230', shown: '180', unit: 'V' };
  // Below 5 V to a proven ground: common practice, no source.
  test.each<[string, StepResult]>([
    ['at 5 V', { ...CASE_CLEAR, pairs: pair('5') }],
    ['at 62 V', { ...CASE_CLEAR, pairs: pair('62') }],
    ['without the pair', { ...CASE_CLEAR, pairs: { other: { value: '0', unit: 'V' } } }],
    ['without pairs', { ...CASE_CLEAR, pairs: {} }],
    ['in ohms', { ...CASE_CLEAR, pairs: pair('0', 'ohm') }],
    ['without a check of the meter', unchecked],
    ['after a bad check of the meter', { ...CASE_CLEAR, before: bad }],
    ['before a bad check of the meter', { ...CASE_CLEAR, after: bad }],
  ])('a test %s is none', (_, result) => {
    expect(found([...tested(result), unplug])).toEqual(['P11 unplug']);
  });

  test.each<[string, StepResult]>([
    ['just below 5 V', { ...CASE_CLEAR, pairs: pair('4.9') }],
    [
      'with a check afterwards',
      { ...CASE_CLEAR, after: { expected: '230', shown: '229', unit: 'V' } },
    ],
  ])('a test %s counts', (_, result) => {
    expect(found([...tested(result), unplug])).toEqual([]);
  });

  test.each<[string, Happening[]]>([
    ['a restoration', [did('power')]],
    ['power that came back', [lapsed('reEnergized', { source: 'mains' })]],
    ['a live window', [windowOpened('ohms')]],
    ['a doubt about its meter', [lapsed('instrumentDoubt', { instrument: 'T-7' })]],
    ['a try that found the case live', [tried({ caseLive: 'mains' })]],
    ['a try that showed its meter wrong', [tried({ doubt: 'T-7' })]],
    ['a correction', [corrected('case')]],
  ])('is asked again after %s', (_, happenings) => {
    expect(found([...tested(), ...happenings, unplug])).toEqual(['P11 unplug']);
    const again = [...tested(), ...happenings, did('case', CASE_CLEAR), unplug];
    expect(found(again)).toEqual([]);
  });

  test('outlasts a doubt about its meter when it was checked since', () => {
    const after = { ...CASE_CLEAR, after: { expected: '230', shown: '229', unit: 'V' } };
    const doubt = lapsed('instrumentDoubt', { instrument: 'T-7' });
    expect(found([...tested(after), doubt, unplug])).toEqual([]);
    expect(found([...before(ISOLATED, 'drain'), doubt, did('cover-off')])).toEqual([]);
  });

  test('is not asked while that source is proved dead', () => {
    const proved = [...before(ISOLATED, 'cool'), did('dead', DEAD)];
    expect(found([...proved, tried({ caseLive: 'mains' }), did('cover-off')])).toEqual([]);
    const dead = [...proved, tried({ caseLive: 'mains' }), lapsed('panelTouched')];
    expect(found([...dead, did('cover-off')])).toEqual(['P11 cover-off']);
  });

  test('reads some pair, even where the checklist names none', () => {
    const steps = POLISHER.steps.map((step) => {
      if (step.id !== 'case' || step.do !== 'case') return step;
      const { pairs: _pairs, ...unnamed } = step;
      return unnamed;
    });
    const unnamed = polisherWith({ steps });
    expect(found([...tested({ ...CASE_CLEAR, pairs: {} }), unplug], unnamed)).toEqual([
      'P11 unplug',
    ]);
    expect(found([...tested(), unplug], unnamed)).toEqual([]);
  });

  test('is not asked of a case that is not metal', () => {
    const { case: _case, ...plastic } = POLISHER.sources.mains!;
    const insulated = polisherWith({ sources: { ...POLISHER.sources, mains: plastic } });
    expect(found([opened(MARA), unplug], insulated)).toEqual([]);
  });

  test('is asked again after the end of a whole job', () => {
    const powered = before(WHOLE_JOB, 'case-again');
    expect(found([...powered, did('unplug')])).toEqual(['P11 unplug']);
    expect(found([...powered, did('case-again', CASE_CLEAR), did('unplug')])).toEqual([]);
  });
});
