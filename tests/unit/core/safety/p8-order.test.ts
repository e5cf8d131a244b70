import { describe, expect, test } from 'vitest';
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import {
  CASE_CLEAR,
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
  joined,
  lapsed,
  notApplicable,
  notDone,
  opened,
  other,
  tried,
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

describe('P8: no step before the steps it needs', () => {
  test('passes in the order of the file', () => {
    expect(found([opened(MARA), did('told'), did('case', CASE_CLEAR)])).toEqual([]);
  });

  test('is broken by a step too early', () => {
    expect(found([opened(MARA), did('case', CASE_CLEAR)])).toEqual(['P8 case']);
  });

  test('takes a reason for leaving a step out', () => {
    expect(found([opened(MARA), notDone('told'), did('case', CASE_CLEAR)])).toEqual([]);
  });

  test('takes no step back that was corrected', () => {
    const back = [opened(MARA), did('told'), corrected('told')];
    expect(found([...back, did('case', CASE_CLEAR)])).toEqual(['P8 case']);
    expect(found([...back, did('told'), did('case', CASE_CLEAR)])).toEqual([]);
    expect(
      found([opened(MARA), notDone('told'), corrected('told'), did('case', CASE_CLEAR)]),
    ).toEqual(['P8 case']);
  });

  test('does not count a first hand, or a disconnect that goes on', () => {
    const early = [...ISOLATED, ...before(WORKED, 'wires')];
    const part = [began('wires', { connectors: [connector('w1')] })];
    expect(found([...early, ...part, did('ohms')])).toEqual(['P8 ohms']);
    expect(
      found([...early, ...part, did('wires', { connectors: [connector('w2')] }), did('ohms')]),
    ).toEqual([]);
  });

  test('lets what was left out in its place be measured later, and no act be done so', () => {
    const shut = [
      ...ISOLATED,
      ...before(WORKED, 'ohms'),
      notDone('ohms'),
      ...from(WORKED, 'verdict'),
    ];
    expect(found(shut)).toEqual([]);
    expect(found([...shut, did('ohms')])).toEqual([]);
    const down = [
      ...ISOLATED,
      ...before(WORKED, 'raise'),
      notDone('raise'),
      ...from(WORKED, 'wires'),
    ];
    expect(found([...without(down, 'lower'), did('raise')])).toContain('P8 raise');
    // Never left out, it had no place yet.
    const early = [...ISOLATED, ...before(WORKED, 'wires')];
    expect(found([...early, did('ohms')])).toEqual(['P8 ohms']);
  });

  test('lets neighbours that stand together come in any order', () => {
    const early = [...ISOLATED, ...before(WORKED, 'look')];
    expect(found([...early, did('snap'), did('look'), did('cover-on')])).toEqual([]);
    expect(found([...early, did('snap'), did('cover-on')])).toEqual(['P8 cover-on']);
    expect(found([...without(early, 'lower'), did('snap')])).toEqual(['P8 snap']);
  });

  test('knows no step of another checklist', () => {
    expect(found([opened(MARA), did('paint')])).toEqual(['P8 paint']);
    expect(found([opened(MARA), windowOpened('paint')])).toEqual(['P8 paint']);
  });

  test('begins with the opening', () => {
    expect(found([did('told')])).toEqual(['P8 told']);
    expect(found([joined(MARA)])).toEqual(['P8 person.joined']);
    const notes = [
      tried(),
      other('program.noted', { what: 'new version' }),
      other('clock.noted', { what: 'restart', seconds: 4 }),
      other('key.rotated', { person: MARA, key: 'k2' }),
    ];
    expect(found([...notes, opened(MARA), did('told')])).toEqual([]);
  });
});

describe('P8: taken back by its opposite', () => {
  test('an isolation undone by a restoration that stands later in the file', () => {
    const restored = [...ISOLATED, did('power')];
    expect(found(from([...restored, did('cover-off')], 'cover-off'))).not.toEqual([]);
    expect(found([...restored, did('cover-off')])).toEqual(['P8 power', 'P8 cover-off']);
    const lapse = [...ISOLATED, lapsed('reEnergized', { source: 'mains' }), did('cover-off')];
    expect(found(lapse)).toEqual([]);
  });

  test('not by the one that stands between the two', () => {
    expect(found(WHOLE_JOB)).toEqual([]);
  });

  test('a cover that is off again before the roll call', () => {
    const again = [...ISOLATED, ...WORKED, did('gloves'), did('cover-off')];
    const roll = did('clear', { people: [MARA] });
    expect(found([...again, roll])).toEqual(['P8 clear']);
    expect(found([...again, did('cover-on'), did('gloves-off'), roll])).toEqual([]);
  });

  test('a cover that is on before the work inside', () => {
    const shut = [...ISOLATED, did('cover-off'), did('cover-on')];
    expect(found([...shut, did('raise')])).toEqual(['P8 cover-on', 'P8 raise']);
  });

  test('a restored point that is cut again', () => {
    const done = before(WHOLE_JOB, 'case-again');
    expect(found([...done, did('off'), did('case-again', CASE_CLEAR)])).toEqual(['P8 case-again']);
  });
});

describe('P8: outcomes', () => {
  const chosen = (option: string) => [
    ...ISOLATED,
    ...before(WORKED, 'verdict'),
    did('verdict', { option }),
  ];
  const rewire = did('rewire', { connector: 'w1' });

  test('a step that does not apply is said so, and is not done', () => {
    expect(found([...chosen('keep'), notApplicable('fit'), rewire])).toEqual([]);
    expect(found([...chosen('keep'), rewire])).toEqual(['P8 rewire']);
    expect(found([...chosen('keep'), began('fit')])).toEqual(['P8 fit']);
  });

  test('“not applicable” ends with another outcome', () => {
    const changed = [...chosen('keep'), notApplicable('fit'), corrected('verdict')];
    const replace = [...changed, did('verdict', { option: 'replace' })];
    expect(found([...replace, rewire])).toEqual(['P8 rewire']);
    expect(found([...replace, notDone('fit'), rewire])).toEqual([]);
  });

  test('an outcome that was taken back calls for nothing', () => {
    const back = [...chosen('replace'), corrected('verdict'), notDone('verdict'), began('fit')];
    expect(found(back)).toEqual(['P8 fit']);
  });

  test('an outcome may be one of several', () => {
    const several = polisherStep('fit', { when: { verdict: ['keep', 'replace'] } });
    expect(found([...chosen('keep'), began('fit')], several)).toEqual([]);
  });
});

describe('P8: what had its place once', () => {
  test('may be done again out of it', () => {
    const powered = before(WHOLE_JOB, 'case-again');
    const due = [...powered, joined(ODE), did('clear', { people: [MARA, ODE] })];
    expect(found(due)).toEqual([]);
  });

  test('but not what a correction took back, and never a window', () => {
    const powered = before(WHOLE_JOB, 'case-again');
    expect(found([...powered, corrected('clear'), did('clear', { people: [MARA] })])).toEqual([
      'P8 clear',
    ]);
    const checklist = polisherWith({ steps: [...STEPS.slice(0, 14), WINDOW, ...STEPS.slice(14)] });
    const ready = [...ISOLATED, ...before(WORKED, 'ohms')];
    const again = [windowOpened('look-live'), windowClosed(), windowOpened('look-live')];
    expect(found([...ready, ...again], checklist)).toEqual(['P8 look-live']);
  });
});
