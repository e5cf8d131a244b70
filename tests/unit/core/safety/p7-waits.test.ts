import { describe, expect, test } from 'vitest';
import type { Source } from '#lib/core/checklist/model.ts';
import type { StepResult } from '#lib/core/job/events.ts';
import { COOL, DRAINED, ISOLATED, POLISHER, polisherWith } from '../../../support/polisher.ts';
import {
  before,
  broken,
  corrected,
  did,
  lapsed,
  later,
  notDone,
  restarted,
  windowOpened,
  type Happening,
} from '../../../support/trace.ts';

const found = (happenings: readonly Happening[], checklist = POLISHER) =>
  broken(checklist, happenings).filter((one) => one.startsWith('P7 '));

/** Isolated just now: the wait begins. */
const cut = [...before(ISOLATED, 'cool')];
const minutes = (seconds: number) => later(seconds / 60);
const drain = (result: StepResult = DRAINED) => did('drain', result);

/**
 * With `capacitor` in its place; the capacitor of the polisher waits 163.6 s (tau 47 s, 325 V to 10
 * V).
 */
function charge(capacitor: Partial<Source>, mains: Partial<Source> = {}) {
  return polisherWith({
    sources: {
      ...POLISHER.sources,
      mains: { ...POLISHER.sources.mains!, ...mains },
      capacitor: { ...POLISHER.sources.capacitor!, ...capacitor },
    },
  });
}

describe('P7: waits are kept', () => {
  test('passes when the wait is over and the residual is below the limit', () => {
    expect(found([...cut, minutes(170), drain()])).toEqual([]);
  });

  test('is broken by a drain right after the isolation', () => {
    expect(found([...cut, drain()])).toEqual(['P7 drain']);
  });

  // A trade table gives 5 time constants to 0.67 %; 325 V through one R·C of 47 s to 10 V is
  // ln(32.5) = 3.4812 of them: 163.62 s. The act itself comes a second after the pause.
  test.each([
    [162.6, ['P7 drain']],
    [162.7, []],
  ])('counts the wait to the second: after %f s', (seconds, breaks) => {
    expect(found([...cut, minutes(seconds), drain()])).toEqual(breaks);
  });

  test.each<[string, StepResult]>([
    ['no residual', {}],
    ['a residual at the limit', { value: '10', unit: 'V' }],
    ['a negative residual', { value: '-12', unit: 'V' }],
    ['a residual in another unit', { value: '1', unit: 'ohm' }],
    ['an overload', { value: 'OL', unit: 'V' }],
  ])('is broken by %s, however long the wait', (_, result) => {
    expect(found([...cut, later(20), drain(result)])).toEqual(['P7 drain']);
  });

  test.each<[string, Happening[]]>([
    ['a source that came back', [lapsed('reEnergized', { source: 'mains' })]],
    ['a live window', [windowOpened('ohms')]],
    ['a restoration', [did('power')]],
    ['a point cut again', [did('off')]],
    ['an isolation taken back', [corrected('unplug')]],
  ])('starts again after %s', (_, happenings) => {
    expect(found([...cut, later(20), ...happenings, drain()])).toEqual(['P7 drain']);
  });

  test('needs every point of the source that fills it', () => {
    const one = [...before(cut, 'unplug'), notDone('unplug')];
    expect(found([...one, later(20), drain()])).toEqual(['P7 drain']);
  });

  test('runs on one run of the clock', () => {
    expect(found([...cut, later(2), restarted(1), drain()])).toEqual(['P7 drain']);
    expect(found([...cut, restarted(1), later(3), drain()])).toEqual([]);
  });

  test('does not count a drain that came too early', () => {
    const early = [...ISOLATED.slice(0, -2), drain(), did('cover-off')];
    expect(broken(POLISHER, early)).toEqual(['P7 drain', 'P1 cover-off']);
  });

  test('has no wait below its limit already, and none to compute without a voltage', () => {
    expect(found([...cut, drain()], charge({ nominal: '8 V' }))).toEqual([]);
    const { nominal: _nominal, ...unknown } = POLISHER.sources.capacitor!;
    const sources = { ...POLISHER.sources, capacitor: unknown };
    expect(found([...cut, later(60), drain()], polisherWith({ sources }))).toEqual(['P7 drain']);
  });

  test('asks the source that it names, or every electrical one', () => {
    const battery: Source = {
      kind: 'electrical',
      label: 'Battery',
      nominal: '48 V',
      points: { link: { label: 'Link', by: 'battery', control: 'exclusive' } },
    };
    const both = (from?: string) =>
      polisherWith({
        sources: {
          ...POLISHER.sources,
          battery,
          capacitor: { ...POLISHER.sources.capacitor!, ...(from === undefined ? {} : { from }) },
        },
      });
    expect(found([...cut, later(20), drain()], both('mains'))).toEqual([]);
    expect(found([...cut, later(20), drain()], both('battery'))).toEqual(['P7 drain']);
    expect(found([...cut, later(20), drain()], both())).toEqual(['P7 drain']);
  });
});

describe('P7: other levels', () => {
  test('a heat is measured below its limit', () => {
    expect(found([...cut, did('cool', COOL)])).toEqual([]);
    expect(found([...cut, did('cool', { value: '48', unit: '°C' })])).toEqual(['P7 cool']);
    expect(found([...cut, did('cool', {})])).toEqual(['P7 cool']);
    expect(found([...cut, did('cool', { value: '-12', unit: '°C' })])).toEqual([]);
    expect(found([...cut, did('cool', { value: '100', unit: '°F' })])).toEqual([]);
  });

  const released = (release: NonNullable<Source['release']>) =>
    polisherWith({
      sources: { ...POLISHER.sources, heat: { ...POLISHER.sources.heat!, release } },
    });

  test('a pressure too, and what is stated is not measured', () => {
    const vented = released({ measured: { quantity: 'pressure', below: '5 kPa' } });
    expect(found([...cut, did('cool', { value: '0.2', unit: 'kPa' })], vented)).toEqual([]);
    expect(found([...cut, did('cool', { value: '6000', unit: 'Pa' })], vented)).toEqual([
      'P7 cool',
    ]);
    const stated = released({ stated: { states: 'The wheel stands still' } });
    expect(found([...cut, did('cool', {})], stated)).toEqual([]);
  });

  test('a limit that cannot be read is one that nothing is below', () => {
    const unread = released({ measured: { quantity: 'pressure', below: 'nothing' } });
    expect(found([...cut, did('cool', { value: '0', unit: 'kPa' })], unread)).toEqual(['P7 cool']);
    expect(found([...cut, did('cool', { value: '0', unit: 'V' })], unread)).toEqual(['P7 cool']);
  });

  test('asks nothing of a source that stores nothing', () => {
    const steps = POLISHER.steps.map((step) =>
      step.id === 'cool' ? ({ ...step, source: 'head' } as never) : step,
    );
    expect(found([...cut, did('cool', {})], polisherWith({ steps }))).toEqual([]);
  });

  test('with a meter in doubt counts only after its check', () => {
    const doubted = [...cut, lapsed('instrumentDoubt', { instrument: 'T-7' })];
    expect(found([...doubted, did('cool', COOL)])).toEqual(['P7 cool']);
    expect(found([...doubted, did('cool', { ...COOL, instrument: 'T-8' })])).toEqual([]);
  });
});
