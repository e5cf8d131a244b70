import { describe, expect, test } from 'vitest';
import { applies, controlFault, isFresh, openEnds, workers } from '#lib/core/safety/asks.ts';
import { startSafety, stepSafety, type SafetyState } from '#lib/core/safety/index.ts';
import {
  CASE_CLEAR,
  DEAD,
  ISOLATED,
  POLISHER,
  WORKED,
  connector,
  polisherWith,
} from '../../../support/polisher.ts';
import {
  MARA,
  ODE,
  before,
  broken,
  corrected,
  did,
  joined,
  lapsed,
  opened,
  stamped,
  type Happening,
} from '../../../support/trace.ts';

function after(happenings: readonly Happening[], checklist = POLISHER): SafetyState {
  let state = startSafety(checklist);
  for (const event of stamped(happenings)) state = stepSafety(state, event).state;
  return state;
}

function fresh(happenings: readonly Happening[], step: string, by = MARA): boolean {
  const state = after(happenings);
  const asked = state.book.steps[state.book.stepAt.get(step) ?? -1];
  if (asked === undefined) throw new Error(`${step} is not in the checklist`);
  return isFresh(state, asked, by);
}

describe('whether a fact holds', () => {
  const start = [opened(MARA, ODE)];
  const inDoubt = lapsed('reEnergized', { source: 'mains' });

  test.each<[string, Happening[], boolean]>([
    ['off', [], false],
    ['off', [did('off')], true],
    ['off', [did('off'), did('power')], false],
    ['off', [did('off'), inDoubt], false],
    ['off', [did('off'), lapsed('time', { steps: ['off'] })], false],
    ['unplug', [did('unplug')], true],
    ['unplug', [did('unplug'), lapsed('leftSight')], false],
    ['power', [], false],
    ['power', [did('off'), did('power')], true],
    ['power', [did('off'), did('power'), did('off')], false],
    ['power', [did('off'), did('power'), corrected('power')], false],
    ['lock', [], false],
    ['lock', [did('lock', { lock: 'M1' })], true],
    ['lock', [did('lock', { lock: 'O1' }, ODE)], true],
    ['lock', [did('lock', { lock: 'M1' }), did('unlock')], false],
    ['lock', [did('off'), did('lock', { lock: 'M1' }), inDoubt], false],
    ['gloves', [did('gloves')], true],
    ['gloves', [did('gloves', {}, ODE)], false],
    ['gloves', [did('gloves'), did('gloves-off')], false],
    ['raise', [did('raise')], true],
    ['raise', [did('raise'), did('lower')], false],
    ['raise', [did('raise'), lapsed('moved')], false],
    ['lower', [], false],
    ['lower', [did('raise'), did('lower')], true],
    ['lower', [did('raise'), did('lower'), did('raise')], false],
    ['told', [did('told')], true],
    ['told', [did('told'), joined('pia')], false],
  ])('%s after %#: %s', (step, happenings, holds) => {
    expect(fresh([...start, ...happenings], step)).toBe(holds);
  });

  test('a lock at another point is another fact', () => {
    const twoLocks = polisherWith({
      steps: POLISHER.steps.map((step) =>
        step.id === 'look'
          ? ({ ...step, do: 'lock', source: 'mains', point: 'plug' } as never)
          : step,
      ),
    });
    const state = after([opened(MARA), did('lock', { lock: 'M1' })], twoLocks);
    const at = (id: string) => state.book.steps[state.book.stepAt.get(id) ?? -1]!;
    expect(isFresh(state, at('lock'), MARA)).toBe(true);
    expect(isFresh(state, at('look'), MARA)).toBe(false);
  });
});

describe('who works, and what is open', () => {
  test('everyone present, and the one who acts', () => {
    const state = after([opened(ODE), joined(MARA)]);
    expect(workers(state, MARA)).toEqual([MARA, ODE]);
    expect(workers(state, 'pia')).toEqual([MARA, ODE, 'pia']);
  });

  test('ends, then connectors, by name', () => {
    const wires = did('wires', { connectors: [connector('w2'), connector('w1')] });
    const off = [opened(MARA), wires, did('raise'), did('cover-off')];
    expect(openEnds(after(off))).toEqual(['cover', 'prop', 'w1', 'w2']);
    expect(openEnds(after([...off, did('rewire', { connector: 'w2' }), did('lower')]))).toEqual([
      'cover',
      'w1',
    ]);
  });

  test('a step applies when each outcome that it hangs on is chosen', () => {
    const state = after([
      ...ISOLATED,
      ...before(WORKED, 'verdict'),
      did('verdict', { option: 'keep' }),
    ]);
    const at = (id: string) => state.book.steps[state.book.stepAt.get(id) ?? -1]!;
    expect(applies(state, at('told'))).toBe(true);
    expect(applies(state, at('fit'))).toBe(false);
  });
});

describe('what stands against control, in words', () => {
  const says = (happenings: readonly Happening[], people = [MARA], checklist = POLISHER) =>
    controlFault(after(happenings, checklist), 0, people);

  test.each<[string | null, Happening[], string[]]>([
    [null, [], [MARA]],
    ['Breaker is not isolated', [did('power')], [MARA]],
    ['Breaker is not isolated', [did('power'), did('lock', { lock: 'M1' })], [MARA]],
    ['the isolation of Breaker has lapsed', [lapsed('time', { steps: ['off'] })], [MARA]],
    ['ode has no lock of their own on Breaker', [], [MARA, ODE]],
    ['nobody keeps Plug in sight', [lapsed('leftSight')], [MARA]],
  ])('%s', (fault, happenings, people) => {
    expect(says([...ISOLATED, ...happenings], people)).toBe(fault);
  });

  test('a tag without its measure, and a plug for two', () => {
    const points = POLISHER.sources.mains!.points!;
    const withPoints = (own: typeof points) =>
      polisherWith({
        sources: { ...POLISHER.sources, mains: { ...POLISHER.sources.mains!, points: own } },
      });
    const tagged = withPoints({ ...points, breaker: { ...points['breaker']!, control: 'tag' } });
    const bare = [...before(ISOLATED, 'lock'), did('lock', { tag: 'hands off' }), did('unplug')];
    expect(says(bare, [MARA], tagged)).toBe(
      'mara has neither a lock nor a tag with a further measure on Breaker',
    );
    const plug = withPoints({ plug: points['plug']! });
    expect(says([opened(MARA, ODE), did('unplug')], [MARA, ODE], plug)).toBe(
      'mara has no lock on any plug, and a plug in sight covers one person alone',
    );
    expect(says([opened(MARA, ODE), did('unplug')], [MARA], plug)).toBe(null);
  });

  test('each point wants its own lock, and one plug of two is enough', () => {
    const mains = POLISHER.sources.mains!;
    const point = (by: 'plug' | 'breaker', control: 'lock' | 'exclusive' | 'tag') => ({
      label: by === 'plug' ? 'Plug' : 'Breaker',
      by,
      control,
    });
    const withPoints = (points: NonNullable<typeof mains.points>) => {
      const steps = POLISHER.steps.map((step) =>
        step.id === 'look'
          ? ({ ...step, do: 'lock', source: 'mains', point: 'plug' } as never)
          : step,
      );
      const sources = { ...POLISHER.sources, mains: { ...mains, points } };
      return polisherWith({ sources, steps });
    };
    const cut = [opened(MARA, ODE), did('off'), did('unplug')];
    const locks = withPoints({ breaker: point('breaker', 'lock'), plug: point('plug', 'lock') });
    const breaker = [...cut, did('lock', { lock: 'M1' })];
    expect(says(breaker, [MARA], locks)).toBe('mara has no lock of their own on Plug');
    expect(says([...breaker, did('look', { lock: 'M2' })], [MARA], locks)).toBe(null);

    const plugs = withPoints({
      breaker: point('breaker', 'exclusive'),
      plug: point('plug', 'exclusive'),
    });
    const both = [...cut, did('lock', { lock: 'M1' }), did('look', { lock: 'O1' }, ODE)];
    expect(says(both, [MARA, ODE], plugs)).toBe(null);
    expect(says(both.slice(0, -1), [MARA, ODE], plugs)).toContain('ode has no lock on any plug');

    const tagged = withPoints({
      breaker: point('breaker', 'tag'),
      plug: point('plug', 'exclusive'),
    });
    const tag = { tag: 'hands off', measure: 'fuse in pocket' };
    const tags = [...cut, did('lock', tag), did('lock', tag, ODE)];
    expect(says(tags, [MARA, ODE], tagged)).toBe(null);
  });

  test('a lock that was stated on a closed point controls nothing', () => {
    const restored = [
      ...ISOLATED,
      did('power'),
      did('lock', { lock: 'M1' }),
      did('case', CASE_CLEAR),
    ];
    const breaks = broken(POLISHER, [...restored, did('dead', DEAD), did('raise')]);
    expect(breaks).toContain('P1 raise');
  });
});
