/**
 * What one part of the machine, one person's things or one meter says of another: nothing (P4 "own lock", P1
 * "under control", the standing lapse table of the checklist format, row by row).
 */
import { describe, expect, test } from 'vitest';
import type { Step } from '#lib/core/checklist/model.ts';
import { controlFault, isFresh } from '#lib/core/safety/asks.ts';
import {
  CASE_CLEAR,
  COOL,
  DEAD,
  DRAINED,
  ISOLATED,
  POLISHER,
  STEPS,
  WORKED,
  connector,
  polisherStep,
  polisherWith,
} from '../../../support/polisher.ts';
import { PLUGGED, SHIELDED, SHOP } from '../../../support/polisher-shop.ts';
import {
  MARA,
  ODE,
  before,
  began,
  broken,
  corrected,
  did,
  handedOver,
  joined,
  lapsed,
  later,
  left,
  notDone,
  opened,
  parkedShut,
  parkedUsable,
  removedFor,
  resumed,
  sceneAfter,
  type Happening,
} from '../../../support/trace.ts';

const of = (property: string, happenings: readonly Happening[], list = POLISHER) =>
  broken(list, happenings).filter((one) => one.startsWith(`${property} `));
const isSure = (happenings: readonly Happening[], step: string, list = SHOP, by = MARA) => {
  const scene = sceneAfter(list, happenings);
  return isFresh(scene, scene.book.steps[scene.book.stepAt.get(step) ?? -1]!, by);
};

const maras = did('lock', { lock: 'M1' });
const odes = did('lock', { lock: 'O1' }, ODE);
const IRIS = 'iris';

describe('the lock on another point', () => {
  const both = [
    opened(MARA, ODE),
    did('off'),
    maras,
    did('gas-off'),
    did('gas-lock', { lock: 'M2' }),
  ];

  test.each<[string, Happening, Happening[]]>([
    ['stays sure when a lapse ends this one', lapsed('time', { steps: ['gas-lock'] }), []],
    ['stays sure when this one was a slip', corrected('gas-lock'), []],
    ['stays sure when that source comes back', lapsed('reEnergized', { source: 'gas' }), []],
  ])('%s', (_, ended) => {
    expect(isSure([...both, ended], 'lock')).toBe(true);
    expect(isSure([...both, ended], 'gas-lock')).toBe(false);
  });

  test('stays on when one’s own comes off here', () => {
    expect(isSure([...both, did('unlock')], 'gas-lock')).toBe(true);
    expect(of('P4', [...both, did('unlock'), did('gas-unlock')], SHOP)).toEqual([]);
  });

  test('stays on when this one is removed for its owner', () => {
    const away = [...both, did('gas-lock', { lock: 'O1' }, ODE), did('lock', { lock: 'O2' }, ODE)];
    const gone = [...away, left(ODE), removedFor({ lock: 'O1' })];
    expect(sceneAfter(SHOP, gone).holds.map(({ number }) => number)).toEqual(['M1', 'O2', 'M2']);
  });

  test('of a third person is not handed over with one’s own', () => {
    const three = [opened(MARA, ODE, IRIS), maras, did('gas-lock', { lock: 'I1' }, IRIS)];
    const given = [...three, handedOver({ lock: 'O1' })];
    expect(of('P4', [...given, did('unlock', {}, ODE), did('gas-unlock', {}, ODE)], SHOP)).toEqual([
      'P4 gas-unlock',
    ]);
    expect(of('P4', [...given, did('gas-unlock', {}, IRIS)], SHOP)).toEqual([]);
  });

  test('may have any number: what is named is looked for here', () => {
    const elsewhere = [...both, did('gas-lock', { lock: 'O1' }, ODE)];
    expect(of('P4', [...elsewhere, did('unlock', { lock: 'O1' })], SHOP)).toEqual([]);
  });
});

describe('the firm’s lock', () => {
  const parked = parkedShut({ lock: 'F1' });

  test('is hung wherever a source has none, whatever hangs on another', () => {
    const back = [...ISOLATED, did('gas-off'), parked, resumed(ODE)];
    expect(of('P4', [...back, did('gas-unlock', {}, ODE)], SHOP)).toEqual([]);
    expect(of('P4', [...back, did('unlock', {}, ODE)], SHOP)).toEqual([]);
  });

  test('takes the place of the parker’s own, and of nobody else’s', () => {
    const two = [opened(MARA, ODE), maras, odes, parked];
    expect(sceneAfter(POLISHER, two).holds.map(({ number }) => number)).toEqual(['F1', 'O1']);
  });

  test('is no lock of whoever left it: they hang their own before they work on', () => {
    const scene = sceneAfter(POLISHER, [
      ...ISOLATED,
      parked,
      resumed(),
      did('gloves'),
      did('unplug'),
    ]);
    expect(controlFault(scene, 0, [MARA])).toBe('mara has no lock of their own on Breaker');
  });

  test('stays on beside a new one of theirs, when that comes off, and when that was a slip', () => {
    const beside = [...ISOLATED, parked, resumed(), did('lock', { lock: 'M2' })];
    const numbers = (...more: Happening[]) =>
      sceneAfter(POLISHER, [...beside, ...more]).holds.map(({ number }) => number);
    expect(numbers()).toEqual(['M2', 'F1']);
    expect(numbers(joined(ODE), handedOver({ lock: 'O1' }))).toEqual(['F1', 'O1']);
    expect(isSure([...beside, corrected('lock')], 'lock', POLISHER)).toBe(true);
  });

  test('on a plug comes off as somebody takes the plug in hand', () => {
    const plug = did('plug-lock', { lock: 'M2' });
    const back = [...ISOLATED, plug, parked, resumed(), did('unplug')];
    expect(sceneAfter(PLUGGED, back).holds.map(({ point }) => point)).toEqual([0]);
  });

  test('is told from a person’s where it is left on', () => {
    const says = (...happenings: Happening[]) => {
      const scene = sceneAfter(POLISHER, happenings);
      return scene.holds.map(({ firm }) => firm);
    };
    expect(says(opened(MARA), maras, parked)).toEqual([true]);
    expect(says(opened(MARA), maras, parkedShut())).toEqual([false]);
  });
});

describe('a plug', () => {
  test('in hand keeps its source proved when the lock on it comes off', () => {
    const locked = [opened(MARA, ODE), ...ISOLATED.slice(1), did('lock', { lock: 'O1' }, ODE)];
    const on = [...locked, did('plug-lock', { lock: 'O2' }, ODE), did('dead', DEAD)];
    const gone = [...on, left(ODE, ['O1', 'O2']), did('raise')];
    expect(of('P1', gone, PLUGGED)).not.toContain('P1 raise');
  });

  test('with a tag alone is out of control as soon as it is out of sight', () => {
    const tag = did('plug-lock', { tag: 'hands off', measure: 'in the bag' });
    const seen = sceneAfter(PLUGGED, [...ISOLATED, tag, lapsed('leftSight')]);
    expect(seen.holders).toEqual(['', '']);
  });
});

describe('a point', () => {
  test('that is cut once more keeps the lock that is on it', () => {
    const again = [...ISOLATED, lapsed('time', { steps: ['off'] }), did('off')];
    expect(isSure(again, 'lock', POLISHER)).toBe(true);
    expect(isSure([...ISOLATED, did('power'), did('off')], 'lock', POLISHER)).toBe(false);
  });

  test('that was never cut is known to be on, whatever comes back', () => {
    const found = [
      opened(MARA),
      lapsed('reEnergized', { source: 'mains' }),
      did('case', CASE_CLEAR),
    ];
    expect(of('P10', [...found, parkedUsable()])).toEqual([]);
  });

  test('that nobody knows cuts nothing', () => {
    const nowhere = polisherStep('off', { point: 'nowhere' } as never);
    expect(of('P1', [...ISOLATED, did('raise')], nowhere)).toEqual(['P1 drain', 'P1 raise']);
  });

  test('stays cut when a step that was never done on it is taken back', () => {
    const twice: Step = { ...STEPS[4]!, id: 'off-again' };
    const list = polisherWith({ steps: [...STEPS, twice] });
    expect(of('P10', [...ISOLATED, corrected('off-again'), parkedShut()], list)).toEqual([]);
  });
});

describe('what else is worn', () => {
  const dressed = [...before(ISOLATED, 'unplug'), did('ring'), did('shield')];
  const on = (...more: Happening[]) => {
    const { book, people } = sceneAfter(SHIELDED, [...dressed, ...more]);
    return people[0]?.worn.map((at) => book.steps[at]?.id);
  };

  test('stays on, and stays off', () => {
    expect(on()).toEqual(['gloves', 'ring', 'shield']);
    expect(on(did('gloves'))).toEqual(['gloves', 'ring', 'shield']);
  });

  test('stays when one thing lapses, comes off or was a slip', () => {
    expect(on(lapsed('time', { steps: ['shield'] }))).toEqual(['gloves', 'ring']);
    expect(on(corrected('shield'))).toEqual(['gloves', 'ring']);
    expect(on(did('gloves-off'))).toEqual(['ring', 'shield', 'gloves-off']);
  });

  test('stands in nobody’s way who has to be bare of gloves', () => {
    const none = polisherWith({ steps: SHIELDED.steps.filter(({ id }) => id !== 'gloves-off') });
    const bare = [opened(MARA), ...none.steps.slice(0, -2).map(({ id }) => notDone(id))];
    const said = (thing: string) =>
      of('P8', [...bare, did(thing), did('spins')], none).filter((one) => one === 'P8 spins');
    expect(said('gloves').length - said('shield').length).toBe(1);
  });

  test('has a shelf life of its own', () => {
    const list = polisherWith({
      steps: STEPS.map((step) => {
        if (step.id === 'gloves') return { ...step, keeps: { for: '10 min' } };
        return step.id === 'lock' ? { ...step, keeps: { for: '20 min' } } : step;
      }),
    });
    const late = [opened(MARA), maras, later(6), did('gloves'), later(8)];
    expect(isSure([...late, did('told')], 'gloves', list)).toBe(true);
    expect(isSure([...late, later(3), did('told')], 'gloves', list)).toBe(false);
  });
});

describe('a connector', () => {
  const off = (...ids: string[]) => did('wires', { connectors: ids.map(connector) });
  const second = polisherStep('lower', { do: 'reseat' });
  const known = (...happenings: Happening[]) =>
    sceneAfter(second, [opened(MARA), ...happenings]).connectors.map(
      ({ id, open }) => `${id} ${open ? 'off' : 'on'}`,
    );

  test('is known once, however often it comes off', () => {
    expect(known(off('a'), did('rewire', { connector: 'a' }), off('a'))).toEqual(['a off']);
  });

  test('is off again when its own seating was a slip', () => {
    const both = [
      off('a', 'b'),
      did('rewire', { connector: 'a' }),
      did('lower', { connector: 'b' }),
    ];
    expect(known(...both, corrected('lower'))).toEqual(['a on', 'b off']);
    expect(known(...both, did('lower', { connector: 'a' }), corrected('lower'))).toEqual([
      'a on',
      'b off',
    ]);
  });

  test('may be taken off once more when its taking off was a slip', () => {
    const ready = [...ISOLATED, did('cover-off'), did('raise'), off('a', 'b')];
    expect(of('P8', [...ready, corrected('wires'), off('a', 'b')])).toEqual([]);
    expect(of('P8', [...ready, off('b')])).toEqual(['P8 wires']);
  });

  test('that was seated in parts is behind, and stays it when another comes off', () => {
    const more: Step[] = [
      { id: 'plug', phase: 'refit', do: 'disconnect', say: 'Pull.' },
      { id: 'after', phase: 'refit', do: 'confirm', states: 'It hangs free', say: 'Look.' },
    ];
    const list = polisherWith({ steps: [...STEPS.slice(0, 19), ...more, ...STEPS.slice(19)] });
    const ready = [...ISOLATED, ...before(WORKED, 'rewire')];
    const seated = ['w1', 'w2'].map((id) => began('rewire', { connector: id }));
    const on = [...ready, ...seated, did('lower')];
    expect(of('P8', on, list)).toEqual([]);
    expect(
      of('P8', [...on, did('plug', { connectors: [connector('p')] }), did('after')], list),
    ).toEqual([]);
  });
});

describe('a meter', () => {
  const GOOD = { expected: '230', shown: '229', unit: 'V' };
  const doubt = lapsed('instrumentDoubt', { instrument: 'T-7' });
  const ready = [...before(ISOLATED, 'cool'), later(20), doubt];
  const ohms = (result: object) =>
    did('ohms', { value: '11', unit: 'ohm', instrument: 'T-7', ...result });

  test('that another was in doubt of is in none itself', () => {
    const other = lapsed('instrumentDoubt', { instrument: 'T-9' });
    expect(of('P7', [...before(ISOLATED, 'cool'), other, did('cool', COOL)])).toEqual([]);
  });

  test('is trusted again after a good check before a reading', () => {
    expect(of('P7', [...ready, ohms({ before: GOOD }), did('drain', DRAINED)])).toEqual([]);
    expect(of('P7', [...ready, ohms({}), did('drain', DRAINED)])).toEqual(['P7 drain']);
    const bad = { ...GOOD, shown: '180' };
    expect(of('P7', [...ready, ohms({ before: bad }), did('drain', DRAINED)])).toEqual([
      'P7 drain',
    ]);
  });

  test('is checked by no release, whatever is written beside it', () => {
    const checked = did('cool', { ...COOL, before: GOOD });
    expect(of('P7', [...ready, checked, did('drain', DRAINED)])).toEqual(['P7 cool', 'P7 drain']);
  });
});

test('a lock that has no number is none', () => {
  const bare = ISOLATED.map((one) =>
    'body' in one && 'step' in one.body && one.body.step === 'lock'
      ? did('lock', { lock: '' })
      : one,
  );
  expect(of('P1', [...bare, did('raise')])).toContain('P1 raise');
});

describe('what has its row', () => {
  const fresh = (happenings: readonly Happening[], ...steps: string[]) =>
    steps.map((step) => isSure([...ISOLATED, ...happenings], step, POLISHER));

  test('a machine that moved leaves its covers where they are', () => {
    const open = [did('cover-off'), did('raise'), lapsed('moved')];
    expect(fresh(open, 'cover-off', 'raise')).toEqual([true, false]);
  });

  test('a closing whose fact has ended is not done twice for that', () => {
    const shut = [...ISOLATED, ...WORKED, lapsed('time', { steps: ['cover-on'] })];
    expect(of('P8', [...shut, did('cover-on')])).toEqual(['P8 cover-on']);
    const on = [...ISOLATED, did('power'), lapsed('time', { steps: ['power'] })];
    expect(of('P8', [...on, did('power')]).length - of('P8', on).length).toBe(1);
  });
});
