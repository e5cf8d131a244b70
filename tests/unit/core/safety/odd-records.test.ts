/**
 * Records that no engine of ours writes, since an auditor reads those of strangers, too: they are judged, and
 * no name that nobody knows brings the judging to a halt.
 */
import { describe, expect, test } from 'vitest';
import { editsBetween } from '#lib/core/checklist/revision-edits.ts';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { monitorOf, PROPERTIES, runMonitors } from '#lib/core/safety/index.ts';
import { put } from '#lib/core/safety/scene.ts';
import {
  DEAD,
  ISOLATED,
  POLISHER,
  STEPS,
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
  lapsed,
  notApplicable,
  notDone,
  opened,
  other,
  parkedShut,
  sceneAfter,
  stamped,
  windowOpened,
  type Happening,
} from '../../../support/trace.ts';

const of = (property: string, happenings: readonly Happening[], list = POLISHER) =>
  broken(list, happenings).filter((one) => one.startsWith(`${property} `));
const says = (happenings: readonly Happening[], list = POLISHER) =>
  Object.values(runMonitors(list, stamped(happenings)))
    .flatMap(({ violations }) => violations)
    .map((one) => one.says);

describe('a name that nobody knows', () => {
  test('is no step, no source and no place in a list', () => {
    expect(of('P8', [opened(MARA), did('nothing')])).toEqual(['P8 nothing']);
    const odd = [...ISOLATED, corrected('nothing'), notDone('nothing')];
    expect(of('P1', [...odd, did('raise')])).toEqual([]);
    /* Of a source that nobody knows it could be any. */
    expect(of('P1', [...odd, windowOpened('ohms', 'nowhere'), did('raise')])).toEqual(['P1 raise']);
  });

  test.each([-1, 2])('changes nothing of a list at %i', (at) => {
    const list = [1, 2];
    expect(put(list, at, 9)).toBe(list);
    expect(put(list, 0, 1)).toBe(list);
    expect(put(list, 1, 9)).toEqual([1, 9]);
  });
});

describe('a monitor by itself', () => {
  const dead = [...ISOLATED, lapsed('panelTouched')];
  const alone = (id: (typeof PROPERTIES)[number]['id'], happenings: readonly Happening[]) => {
    const monitor = monitorOf(id);
    let state = monitor.start(POLISHER);
    return stamped(happenings).flatMap((event) => {
      const stepped = monitor.step(state, event);
      state = stepped.state;
      return stepped.violations.map(({ property, says: why }) => `${property} ${why}`);
    });
  };

  test('says what it says among the others, and nothing of theirs', () => {
    const all = runMonitors(POLISHER, stamped([...dead, did('raise')]));
    for (const { id, says: sentence } of PROPERTIES) {
      const own = all[id].violations.map(({ property, says: why }) => `${property} ${why}`);
      expect(alone(id, [...dead, did('raise')]), id).toEqual(own);
      expect(all[id].holds, id).toBe(own.length === 0);
      expect(monitorOf(id).says).toBe(sentence);
    }
    expect(all.P1.holds).toBe(false);
    expect(all.P4.holds).toBe(true);
  });

  test('P5: a step that is left out, or was a slip, exposes nobody', () => {
    expect(alone('P5', [...dead, notDone('raise'), corrected('ohms')])).toEqual([]);
    expect(alone('P5', [...dead, did('raise')])).toHaveLength(1);
  });
});

describe('in words', () => {
  test('P10: whose lock is left on', () => {
    const shut = (more: object) => [...ISOLATED, parkedShut(more)];
    const close = other('job.closed', { openEnds: [] });
    expect(says([...shut({ lock: 'F1' }), close])).toContain('the lock F1 of the firm is still on');
    expect(says([...shut({}), close])).toContain('the lock M1 of mara is still on');
  });

  test('P7: what still feeds a charge', () => {
    const part = [...before(ISOLATED, 'unplug'), did('drain', { value: '1', unit: 'V' })];
    expect(says(part)).toContain('Mains still feeds it: it is not isolated at every point');
  });

  test('P7: a wait that nothing gives', () => {
    const { nominal: _nominal, ...charge } = POLISHER.sources.capacitor!;
    const list = polisherWith({ sources: { capacitor: charge }, ends: {} });
    expect(says([opened(MARA), did('drain', { value: '1', unit: 'V' })], list)).toContain(
      'the wait cannot be computed',
    );
  });

  test('P7: cold does no harm, however cold', () => {
    const frost = did('cool', { value: '-60', unit: '°C', instrument: 'T-7' });
    expect(of('P7', [...before(ISOLATED, 'cool'), frost])).toEqual([]);
  });

  test('P7: no wait at all is over at once', () => {
    const low = { ...POLISHER.sources.capacitor!, nominal: '8 V' };
    const list = polisherWith({ sources: { ...POLISHER.sources, capacitor: low } });
    const events = stamped([...before(ISOLATED, 'cool'), did('drain', { value: '1', unit: 'V' })]);
    const verdicts = runMonitors(
      list,
      events.map((event) => ({ ...event, mono: 1 })),
    );
    expect(verdicts.P7.holds).toBe(true);
  });
});

describe('P8: two choices, and two steps for two hands', () => {
  const two: Checklist = polisherWith({
    steps: STEPS.flatMap((step) => {
      const first = {
        id: 'colour',
        phase: 'work',
        do: 'choose',
        options: { red: 'Red' },
        say: 'Choose.',
      };
      if (step.id === 'verdict') return [first as never, step];
      if (step.id !== 'fit') return [step];
      const fit = { ...step, together: 'two' };
      return [fit, { ...fit, id: 'fasten' }];
    }),
  });
  const ready = [opened(MARA, ODE), ...STEPS.slice(0, 15).map(({ id }) => notDone(id))];
  const replace = [
    ...ready,
    did('colour', { option: 'red' }),
    did('verdict', { option: 'replace' }),
  ];

  test('a step hangs on its own choice', () => {
    expect(of('P8', [...replace, began('fit')], two)).toEqual([]);
  });

  test('the first hand of one step is none of another', () => {
    const half = [...replace, began('fit')];
    expect(of('P8', [...half, did('fasten', {}, ODE)], two)).toEqual(['P8 fasten']);
    expect(of('P8', [...half, began('fasten'), did('fasten', {}, ODE)], two)).toEqual([]);
  });

  test('what did not apply is asked for once the outcome calls for it', () => {
    const list = polisherStep('lower', { needs: ['fit'] });
    const kept = [
      ...ready,
      did('verdict', { option: 'keep' }),
      notApplicable('fit'),
      notDone('rewire'),
    ];
    expect(of('P8', [...kept, did('lower')], list)).toEqual([]);
    const again = [corrected('verdict'), did('verdict', { option: 'replace' }), did('raise')];
    const turned = [...kept, did('lower'), ...again, did('lower')];
    expect(of('P8', turned, list)).toEqual(['P8 lower']);
  });
});

describe('going over to a newer list', () => {
  const over = (newer: Checklist, base = POLISHER) =>
    other('job.rebased', {
      checklist: { id: 'polisher', revision: 2, sha256: '1'.repeat(64) },
      edits: editsBetween(base, newer) ?? [],
      why: 'a lower limit',
    });
  const mains = POLISHER.sources.mains!;
  const stricter = polisherWith({
    revision: 2,
    sources: {
      ...POLISHER.sources,
      mains: { ...mains, dead: { ...mains.dead!, below: '1 V' } },
    },
  });
  const ready = [...ISOLATED, over(stricter)];

  test('ends every proof', () => {
    expect(of('P5', [...ready, did('raise')])).toEqual(['P5 raise']);
  });

  test('judges by the new figures from there on, and keeps what was done', () => {
    const read = (value: string) =>
      did('dead', { ...DEAD, pairs: { ...DEAD.pairs, 'L-N': { value, unit: 'V' } } });
    expect(of('P6', [...ready, read('1.5')])).toEqual(['P6 dead']);
    expect(of('P6', [...ready, read('0.5')])).toEqual([]);
    const again = [...ready, did('gloves'), did('unplug'), read('0.5'), did('raise')];
    expect(of('P1', again)).toEqual([]);
  });

  test('that has a wait where there was none is going over to other gates', () => {
    const low = { ...POLISHER.sources.capacitor!, nominal: '8 V' };
    const base = polisherWith({ sources: { ...POLISHER.sources, capacitor: low } });
    const longer = over({ ...POLISHER, revision: 2 }, base);
    expect(of('P8', [opened(MARA), did('off'), longer], base)).toContain('P8 job.rebased');
    expect(of('P8', [opened(MARA), longer], base)).toEqual([]);
  });

  const sweep = { id: 'sweep', phase: 'arrive', do: 'photo', say: 'Take a picture.' } as const;
  const longer = over({
    ...POLISHER,
    revision: 2,
    steps: [...STEPS.slice(0, 2), sweep, ...STEPS.slice(2)],
  });

  test('of other steps begins anew on a machine that stands as it was found', () => {
    const start = [opened(MARA), did('told'), longer];
    expect(of('P8', [...start, did('told'), notDone('case'), did('sweep')])).toEqual([]);
    expect(of('P8', [...start, notDone('case'), did('sweep')])).toEqual(['P8 sweep']);
  });

  test('of other steps is not gone over to while something is cut, and what is cut stays known', () => {
    const scene = sceneAfter(POLISHER, [...ISOLATED, longer]);
    expect(scene.points).toEqual(['open', 'open']);
    expect(scene.book.stepAt.has('sweep')).toBe(false);
  });

  test.each([
    ['a shelf life of a step', polisherStep('told', { keeps: { for: '10 min' } })],
    [
      'a source that shows no longer dead',
      polisherWith({
        sources: { ...POLISHER.sources, heat: { ...POLISHER.sources.heat!, dead: mains.dead! } },
      }),
    ],
  ])('that has %s is going over to other gates', (_, newer) => {
    const cut = [opened(MARA), did('off'), over({ ...newer, revision: 2 })];
    expect(of('P8', cut)).toContain('P8 job.rebased');
  });

  test('by edits that do not fit, or before the opening, is a fault', () => {
    const body = { checklist: { id: 'polisher', revision: 2, sha256: '1'.repeat(64) }, why: 'x' };
    const odd = other('job.rebased', { ...body, edits: [{ at: ['steps', 'ORDER'], to: ['x'] }] });
    expect(of('P8', [opened(MARA), odd])).toEqual(['P8 job.rebased']);
    expect(of('P8', [over(stricter)])).toEqual(['P8 job.rebased']);
  });
});
