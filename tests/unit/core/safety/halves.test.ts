import { describe, expect, test } from 'vitest';
import type { Step } from '#lib/core/checklist/model.ts';
import {
  CASE_CLEAR,
  DEAD,
  ISOLATED,
  POLISHER,
  STEPS,
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
  did,
  opened,
  type Happening,
} from '../../../support/trace.ts';

const found = (happenings: readonly Happening[], property: string, checklist = POLISHER) =>
  broken(checklist, happenings).filter((one) => one.startsWith(`${property} `));

const wires = (...ids: string[]) => ({ connectors: ids.map(connector) });

describe('a first hand makes things worse at once', () => {
  test.each<[string, Happening]>([
    ['an end that is begun to be opened', began('cover-off')],
    ['a connector that comes off while more follow', began('wires', wires('w1'))],
  ])('%s is open', (_, begun) => {
    expect(found([opened(MARA), begun, did('plug-in')], 'P2')).toEqual(['P2 plug-in']);
  });

  test('a restoration that is begun is one', () => {
    const tested = [opened(MARA), did('case', CASE_CLEAR), did('off')];
    expect(found([...tested, began('power'), did('unplug')], 'P11')).toEqual(['P11 unplug']);
    expect(found([...ISOLATED, began('power'), did('cover-off')], 'P1')).toEqual(['P1 cover-off']);
  });
});

describe('a first hand makes nothing better yet', () => {
  test('an end that is begun to be closed is open', () => {
    const half = [opened(MARA), did('cover-off'), began('cover-on')];
    expect(found([...half, did('plug-in')], 'P2')).toEqual(['P2 plug-in']);
  });

  test.each(['off', 'lock', 'unplug', 'cool', 'dead', 'drain'])(
    '%s that is begun counts for nothing',
    (step) => {
      const half = ISOLATED.map((one) =>
        'body' in one && 'step' in one.body && one.body.step === step
          ? began(step, 'result' in one.body ? one.body.result : {})
          : one,
      );
      expect(found([...half, did('cover-off')], 'P1')).toContain('P1 cover-off');
    },
  );

  test('a roll call and a case test that are begun count for nothing', () => {
    const roll = [opened(MARA), began('clear', { people: [MARA] }), did('power')];
    expect(found(roll, 'P3')).toEqual(['P3 power']);
    const test = [opened(MARA), began('case', CASE_CLEAR), did('unplug')];
    expect(found(test, 'P11')).toEqual(['P11 unplug']);
  });

  test('a connector pushed back for two hands is off until the second', () => {
    const twice = polisherStep('rewire', { twice: true });
    const loose = [
      opened(MARA, ODE),
      did('wires', wires('w1')),
      began('rewire', { connector: 'w1' }),
    ];
    expect(found([...loose, did('plug-in')], 'P2', twice)).toEqual(['P2 plug-in']);
    const both = [...loose, did('rewire', { connector: 'w1' }, ODE), did('plug-in')];
    expect(found(both, 'P2', twice)).toEqual([]);
    // Without `twice` a part is only one of several.
    expect(found([...loose, did('plug-in')], 'P2')).toEqual([]);
  });
});

describe('what was begun', () => {
  test('is finished by the second hand, and may begin anew', () => {
    const ready = [opened(MARA, ODE), ...ISOLATED.slice(1), ...before(WORKED, 'verdict')];
    const fitted = [did('verdict', { option: 'replace' }), began('fit'), did('fit', {}, ODE)];
    expect(found([...ready, ...fitted, began('fit')], 'P8')).toEqual([]);
  });

  test('leaves what was done before it done', () => {
    const ready = [...ISOLATED, ...before(WORKED, 'ohms'), began('wires', wires('w3'))];
    expect(found([...ready, did('ohms')], 'P8')).toEqual([]);
  });

  test('a loose connector keeps an earlier reseat undone, whatever comes off after it', () => {
    const more: Step[] = [
      { id: 'plug', phase: 'refit', do: 'disconnect', say: 'Pull.' },
      { id: 'after', phase: 'refit', do: 'confirm', states: 'It hangs free', say: 'Look.' },
    ];
    const checklist = polisherWith({ steps: [...STEPS.slice(0, 19), ...more, ...STEPS.slice(19)] });
    const loose = [...ISOLATED, ...before(WORKED, 'rewire'), did('lower')];
    const off = [did('plug', wires('p')), did('after')];
    expect(found([...loose, ...off], 'P8', checklist)).toEqual(['P8 lower', 'P8 plug', 'P8 after']);
  });

  test('a proof that was made before the lock is none', () => {
    const early = [...before(ISOLATED, 'lock'), did('gloves'), did('unplug'), did('dead', DEAD)];
    const late = [...early, did('lock', { lock: 'M1' }), did('raise')];
    expect(found(late, 'P1')).toEqual(['P1 raise']);
  });

  test('a lock that was put on before its point was cut is not sure', () => {
    const early = [...before(ISOLATED, 'off'), did('lock', { lock: 'M1' }), did('off')];
    const rest = [did('gloves'), did('unplug'), did('dead', DEAD), did('raise')];
    expect(found([...early, ...rest], 'P1')).toEqual(['P1 raise']);
  });
});
