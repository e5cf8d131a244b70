import { describe, expect, test } from 'vitest';
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import {
  CASE_CLEAR,
  COOL,
  DEAD,
  ISOLATED,
  POLISHER,
  STEPS,
  WHOLE_JOB,
  WORKED,
  connector,
  polisherStep,
  polisherWith,
} from '../../../support/polisher.ts';
import {
  MARA,
  ODE,
  before,
  began,
  broken,
  corrected,
  did,
  from,
  lapsed,
  notApplicable,
  notDone,
  opened,
  parkedShut,
  removedFor,
  resumed,
  windowClosed,
  windowOpened,
  without,
  type Happening,
} from '../../../support/trace.ts';

const found = (happenings: readonly Happening[], checklist: Checklist = POLISHER) =>
  broken(checklist, happenings).filter((one) => one.startsWith('P8 '));

const WINDOW: Step = {
  id: 'look-live',
  phase: 'work',
  do: 'window',
  source: 'mains',
  allows: [],
  minutes: 3,
  say: 'Look.',
};

describe('P8: named needs, and what is worn', () => {
  const upTo = (step: string) => before(ISOLATED, step);

  test('asks for a fresh fact, not for one that was there once', () => {
    const needs = polisherStep('find', { needs: ['told'] });
    expect(found([...upTo('find'), did('find')], needs)).toEqual([]);
    expect(found([...upTo('find'), lapsed('joined'), did('find')], needs)).toEqual(['P8 find']);
    const out = [
      opened(MARA),
      notDone('told'),
      did('case', CASE_CLEAR),
      did('count', { sources: 4 }),
    ];
    expect(found([...out, did('find')], needs)).toEqual(['P8 find']);
  });

  test('a need that does not apply is met', () => {
    const hung = (id: string, more: Partial<Step>): Checklist => {
      const steps = STEPS.map((step) =>
        step.id === 'look' ? ({ ...step, when: { verdict: 'replace' } } as Step) : step,
      );
      return polisherWith({
        steps: steps.map((step) => (step.id === id ? ({ ...step, ...more } as Step) : step)),
      });
    };
    const na = [...ISOLATED, ...before(WORKED, 'look'), notApplicable('look'), did('snap')];
    const needing = hung('cover-on', { needs: ['look'] });
    expect(found([...na, did('cover-on')], needing)).toEqual([]);
    const unsaid = [...na.slice(0, -2), notDone('look'), did('snap'), did('cover-on')];
    expect(found(unsaid, needing)).toEqual(['P8 cover-on']);
  });

  test.each<[string, string, Happening[]]>([
    ['an isolation', 'off', [lapsed('reEnergized', { source: 'mains' })]],
    ['a plug in sight', 'unplug', [lapsed('leftSight')]],
    ['a lock', 'lock', [did('unlock')]],
    ['a proof', 'dead', [lapsed('panelTouched')]],
  ])('%s as a need ends with its fact', (_, need, happenings) => {
    const needs = polisherStep('raise', { needs: [need] });
    const ready = [...ISOLATED, did('cover-off')];
    expect(found([...ready, did('raise')], needs)).toEqual([]);
    const after = [...ready, ...happenings, did('raise')];
    expect(found(after, needs)).toContain('P8 raise');
  });

  test('the firm’s lock meets a need for a lock', () => {
    const needs = polisherStep('raise', { needs: ['lock'] });
    const parked = [...ISOLATED, did('cover-off'), parkedShut({ lock: 'F1' }), resumed()];
    expect(found([...parked, did('raise')], needs)).toEqual([]);
    const away = [...parked, removedFor({ lock: 'F1', owner: MARA }), did('raise')];
    expect(found(away, needs)).toEqual(['P8 raise']);
  });

  test('an open end and a closed one as needs', () => {
    const needs = polisherStep('verdict', { needs: ['raise'] });
    const ready = [...ISOLATED, ...before(WORKED, 'verdict'), lapsed('moved')];
    expect(found([...ready, did('verdict', { option: 'keep' })], needs)).toEqual(['P8 verdict']);
    const shut = polisherStep('clear', { needs: ['cover-on'] });
    const all = [...ISOLATED, ...WORKED, did('clear', { people: [MARA] })];
    expect(found(all, shut)).toEqual([]);
    const restored = polisherStep('case-again', { needs: ['power'] });
    const cut = [...before(WHOLE_JOB, 'case-again'), lapsed('time', { steps: ['power'] })];
    expect(found([...cut, did('case-again', CASE_CLEAR)], restored)).toEqual(['P8 case-again']);
  });

  test('asks what is worn of the one who acts', () => {
    const two = [opened(MARA, ODE), ...upTo('unplug').slice(1)];
    expect(found([...two, did('unplug')])).toEqual([]);
    expect(found([...two, did('unplug', {}, ODE)])).toEqual(['P8 unplug']);
    expect(found([...two, did('gloves', {}, ODE), did('unplug', {}, ODE)])).toEqual([]);
    const gloved = [...two, did('gloves', {}, ODE), corrected('gloves'), notDone('gloves')];
    expect(found([...gloved, did('unplug', {}, ODE)])).toEqual([]);
    expect(found([...gloved, did('unplug')])).toEqual(['P8 unplug']);
    expect(
      found([...two, corrected('gloves'), did('gloves', {}, ODE), did('unplug', {}, ODE)]),
    ).toEqual([]);
    expect(found([...two, corrected('gloves', ODE), notDone('gloves'), did('unplug')])).toEqual([
      'P8 unplug',
    ]);
  });

  test('wants gloves on where they must be', () => {
    expect(found([...without(ISOLATED, 'gloves'), notDone('gloves'), did('cover-off')])).toContain(
      'P8 cover-off',
    );
    expect(found([...ISOLATED, did('gloves-off'), did('cover-off')])).toEqual([
      'P8 gloves-off',
      'P8 cover-off',
    ]);
  });

  test('wants gloves off where they must not be', () => {
    const ready = before(WHOLE_JOB, 'spins');
    expect(found([...ready, did('gloves'), did('spins')]).at(-1)).toBe('P8 spins');
    const never = polisherWith({ steps: STEPS.filter((step) => step.id !== 'gloves-off') });
    const bare = without(ready, 'gloves-off');
    expect(found([...bare, lapsed('parked'), did('spins')], never)).toEqual([]);
    expect(found([...bare, did('spins')], never)).toEqual(['P8 spins']);
    const unsaid = [...without(ready, 'gloves-off'), notDone('gloves-off')];
    expect(found([...ready, lapsed('resumed'), did('spins')])).toEqual(['P8 spins']);
    expect(found([...unsaid, did('spins')]).at(-1)).toBe('P8 spins');
  });
});

describe('P8: no step twice', () => {
  test.each<[string, Happening[], Happening]>([
    ['an outcome', [did('verdict', { option: 'keep' })], did('verdict', { option: 'keep' })],
    ['an isolation', [did('off')], did('off')],
    ['a lock of one’s own', [did('lock', { lock: 'M1' })], did('lock', { lock: 'M2' })],
    ['a plug in sight', [did('unplug')], did('unplug')],
    ['an opening', [did('cover-off')], did('cover-off')],
    ['a closing', [did('cover-off'), did('cover-on')], did('cover-on')],
    ['a restoration', [did('off'), did('power')], did('power')],
    [
      'a connector',
      [did('wires', { connectors: [connector('w1')] })],
      did('wires', { connectors: [connector('w1')] }),
    ],
    [
      'a connector that goes on',
      [began('wires', { connectors: [connector('w1')] })],
      began('wires', { connectors: [connector('w1')] }),
    ],
  ])('%s', (_, once, twice) => {
    const bare = polisherWith({
      steps: STEPS.map(({ needs: _needs, wearing: _wearing, ...step }) => step as Step),
    });
    // Each alone, with everything else left out: only the second act breaks the order.
    const alone = [opened(MARA), ...STEPS.map((step) => notDone(step.id)), ...once];
    expect(found(alone, bare)).toEqual([]);
    expect(found([...alone, twice], bare)).toHaveLength(1);
  });

  test.each([
    ['told', {}],
    ['case', CASE_CLEAR],
    ['find', {}],
    ['gloves', {}],
    ['dead', DEAD],
    ['cool', COOL],
  ])('but %s is said, seen or measured as often as one likes', (step, result) => {
    expect(found([...ISOLATED, did(step, result)])).toEqual([]);
  });

  test('one connector twice in one act, or one that nobody took off', () => {
    const early = [...ISOLATED, ...before(WORKED, 'wires')];
    expect(
      found([...early, did('wires', { connectors: [connector('w1'), connector('w1')] })]),
    ).toEqual(['P8 wires']);
    const ready = [...ISOLATED, ...before(WORKED, 'rewire')];
    expect(found([...ready, did('rewire', { connector: 'w9' })])).toEqual(['P8 rewire']);
    expect(found([...ready, did('rewire', {})])).toEqual(['P8 rewire']);
    const once = did('rewire', { connector: 'w1' });
    expect(found([...ready, once, once])).toEqual(['P8 rewire']);
  });

  test('but again once its fact has ended', () => {
    const ready = before(ISOLATED, 'drain');
    const fresh: [Happening, Happening][] = [
      [lapsed('leftSight'), did('unplug')],
      [lapsed('reEnergized', { source: 'mains' }), did('off')],
      [corrected('off'), did('off')],
      [did('unlock'), did('lock', { lock: 'M1' })],
      [did('power'), did('off')],
    ];
    for (const [end, again] of fresh) {
      const breaks = found([...ready, end, again]).filter(
        (one) => !['P8 unlock', 'P8 power'].includes(one),
      );
      expect(breaks).toEqual([]);
    }
  });

  test('a lock, gloves and a connector for each', () => {
    const two = [opened(MARA, ODE), ...ISOLATED.slice(1)];
    expect(found([...two, did('lock', { lock: 'O1' }, ODE), did('gloves', {}, ODE)])).toEqual([]);
    const done = [...two, ...WORKED, did('lock', { lock: 'O1' }, ODE)];
    const roll = did('clear', { people: [MARA, ODE] });
    expect(found([...done, roll, did('unlock'), did('unlock', {}, ODE)])).toEqual([]);
  });

  test('a step for two hands is finished by a second person', () => {
    const ready = [opened(MARA, ODE), ...ISOLATED.slice(1), ...before(WORKED, 'verdict')];
    const replace = [...ready, did('verdict', { option: 'replace' })];
    expect(found([...replace, began('fit'), did('fit', {}, ODE)])).toEqual([]);
    expect(found([...replace, did('fit')])).toEqual(['P8 fit']);
    expect(found([...replace, began('fit'), did('fit')])).toEqual(['P8 fit']);
    expect(found([...replace, began('fit'), began('fit', {}, ODE)])).toEqual(['P8 fit']);
    expect(found([...replace, began('fit'), corrected('fit'), began('fit')])).toEqual([]);
  });

  test('a window again after it was closed and the source cut again', () => {
    const checklist = polisherWith({ steps: [...STEPS.slice(0, 14), WINDOW, ...STEPS.slice(14)] });
    const open = windowOpened('look-live');
    const ready = [...ISOLATED, ...before(WORKED, 'ohms')];
    const shut = [open, windowClosed()];
    expect(found([...ready, ...shut, did('off'), did('unplug'), open], checklist)).toEqual([]);
    expect(found([...ready, ...shut, open], checklist)).toEqual(['P8 look-live']);
    const twice = [open, corrected('look-live'), did('off'), did('unplug'), open];
    expect(found([...ready, ...twice], checklist)).toEqual(['P8 look-live']);
    expect(found([...ready, open, corrected('look-live'), open], checklist)).toEqual([
      'P8 look-live',
    ]);
    expect(found([...ready, open, did('off'), did('unplug'), open], checklist)).toEqual([
      'P8 look-live',
    ]);
    expect(found([...ready, ...shut, did('ohms')], checklist)).toEqual([]);
  });

  test('a reseat is behind when nothing is loose', () => {
    const none = [
      ...ISOLATED,
      ...before(WORKED, 'wires'),
      notDone('wires'),
      ...from(WORKED, 'ohms'),
    ];
    const skipped = without(without(none, 'rewire'), 'rewire');
    expect(found(skipped)).toEqual([]);
    const loose = [...ISOLATED, ...without(before(WORKED, 'lower'), 'rewire'), did('lower')];
    expect(found(loose)).toEqual(['P8 lower']);
  });

  test('a reseat stays behind when a later step takes more off', () => {
    const more: Step[] = [
      { id: 'plug', phase: 'refit', do: 'disconnect', say: 'Pull.' },
      { id: 'after', phase: 'refit', do: 'confirm', states: 'It hangs free', say: 'Look.' },
    ];
    const checklist = polisherWith({ steps: [...STEPS.slice(0, 19), ...more, ...STEPS.slice(19)] });
    const off = [did('plug', { connectors: [connector('p')] }), did('after')];
    const reseated = [...ISOLATED, ...before(WORKED, 'look')];
    expect(found([...reseated, ...off], checklist)).toEqual([]);
    const none = [
      ...ISOLATED,
      ...before(WORKED, 'wires'),
      notDone('wires'),
      ...from(WORKED, 'ohms'),
    ];
    const skipped = before(without(without(none, 'rewire'), 'rewire'), 'look');
    expect(found([...skipped, ...off], checklist)).toEqual([]);
  });
});
