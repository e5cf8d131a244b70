import { describe, expect, test } from 'vitest';
import { LAPSES, type Lapse } from '#lib/core/checklist/model.ts';
import {
  CASE_CLEAR,
  COOL,
  DEAD,
  DRAINED,
  ISOLATED,
  POLISHER,
  polisherStep,
  polisherWith,
} from '../../../support/polisher.ts';
import {
  MARA,
  ODE,
  broken,
  corrected,
  did,
  handedOver,
  joined,
  lapsed,
  later,
  left,
  opened,
  other,
  parkedShut,
  removedFor,
  restarted,
  resumed,
  tried,
  windowClosed,
  windowOpened,
  without,
  type Happening,
} from '../../../support/trace.ts';

const found = (happenings: readonly Happening[], checklist = POLISHER) =>
  broken(checklist, happenings).filter((one) => one.startsWith('P5 '));

const open = did('cover-off');
const away = [did('lock', { lock: 'O1' }, ODE)];

describe('P5: a proof dies', () => {
  test('passes while the proof stands', () => {
    expect(found([...ISOLATED, open])).toEqual([]);
  });

  test('is broken by exposed work after the panel was touched', () => {
    expect(found([...ISOLATED, lapsed('panelTouched'), open])).toEqual(['P5 cover-off']);
  });

  test('speaks of no proof that never was', () => {
    expect(found([opened(MARA), open])).toEqual([]);
    const bad = [...ISOLATED.slice(0, 10), did('dead', { ...DEAD, pairs: {} }), open];
    expect(found(bad)).toEqual([]);
    expect(found([...ISOLATED, corrected('dead'), open])).toEqual([]);
  });

  test.each<[string, Happening[]]>([
    ['parking and resuming', [parkedShut(), resumed()]],
    ['a handover', [joined(ODE), did('lock', { lock: 'O1' }, ODE), handedOver(), joined(MARA)]],
    ['a restoration', [did('power')]],
    ['a live window', [windowOpened('ohms'), windowClosed()]],
    ['a point that was operated again', [did('off')]],
    ['a lock that came off its point', [did('unlock')]],
    ['a lock removed for somebody away', [...away, removedFor()]],
    ['an isolation taken back', [corrected('off')]],
    ['the time that it was told to have lasted', [lapsed('time', { steps: ['dead'] })]],
    ['thirty minutes', [later(31)]],
    ['a restart with a gap that nobody knows', [restarted(5)]],
    ['a restart into the past', [restarted(1, -1)]],
  ])('dies with %s', (_, happenings) => {
    expect(found([...ISOLATED, ...happenings, open])).toEqual(['P5 cover-off']);
    const again = [...ISOLATED, ...happenings, did('case', CASE_CLEAR), did('off'), did('unplug')];
    const locks = [did('lock', { lock: 'M1' }), did('lock', { lock: 'O1' }, ODE)];
    const renewed = [...again, ...locks, did('dead', DEAD), later(3), did('drain', DRAINED), open];
    expect(found(renewed)).toEqual([]);
  });

  test.each<[string, Happening[]]>([
    ['twenty-nine minutes', [later(26)]],
    ['a restart of two minutes', [restarted(119 / 60)]],
    ['somebody who joined and locked', [joined(ODE), did('lock', { lock: 'O1' }, ODE)]],
    ['somebody who left while another’s lock stays', [joined(ODE), ...away, left(ODE, ['O1'])]],
    ['a doubt about a meter that was checked after it', [lapsed('instrumentDoubt')]],
    ['a moved machine', [lapsed('moved')]],
  ])('stands through %s', (_, happenings) => {
    expect(found([...ISOLATED, ...happenings, open])).toEqual([]);
  });

  test('keeps counting across a short restart', () => {
    const restart = [
      later(20),
      tried(),
      restarted(1),
      other('clock.noted', { what: 'restart', seconds: 60 }),
    ];
    expect(found([...ISOLATED, ...restart, later(7), open])).toEqual(['P5 cover-off']);
    expect(found([...ISOLATED, ...restart, later(5), open])).toEqual([]);
  });
});

describe('P5: a source that nothing but locks keeps', () => {
  const mains = POLISHER.sources.mains!;
  const breaker = { breaker: mains.points!['breaker']! };
  const locked = polisherWith({
    sources: { ...POLISHER.sources, mains: { ...mains, points: breaker } },
    steps: POLISHER.steps.filter((step) => !['unplug', 'plug-in'].includes(step.id)),
  });
  const proved = without(ISOLATED, 'unplug');

  test.each<[string, Happening]>([
    ['parking', lapsed('parked')],
    ['resuming', lapsed('resumed')],
    ['a handover', lapsed('handedOver')],
  ])('its proof dies with %s', (_, end) => {
    expect(found([...proved, open], locked)).toEqual([]);
    expect(found([...proved, end, open], locked)).toEqual(['P5 cover-off']);
  });

  test('a proof dies with the sight of a plug, even if it is locked afterwards', () => {
    const onPlug = polisherWith({
      steps: POLISHER.steps.map((step) =>
        step.id === 'look'
          ? ({ ...step, do: 'lock', source: 'mains', point: 'plug' } as never)
          : step,
      ),
    });
    const two = [opened(MARA, ODE), ...ISOLATED.slice(1, 7), ...away, did('gloves', {}, ODE)];
    const kept = [...two, did('unplug', {}, ODE), did('cool', COOL), did('dead', DEAD)];
    const relocked = [left(ODE, ['O1']), did('look', { lock: 'M2' }), did('raise')];
    expect(found([...kept, did('raise')], onPlug)).toEqual([]);
    expect(found([...kept, ...relocked], onPlug)).toEqual(['P5 raise']);
  });
});

describe('P5: the shelf life that a checklist names', () => {
  const mains = POLISHER.sources.mains!;

  test('replaces the thirty minutes', () => {
    const short = polisherWith({
      sources: { ...POLISHER.sources, mains: { ...mains, keeps: { for: '10 min' } } },
    });
    expect(found([...ISOLATED, later(8), open], short)).toEqual(['P5 cover-off']);
    expect(found([...ISOLATED, later(6), open], short)).toEqual([]);
  });

  test('is the shorter of the step’s and the source’s', () => {
    const step = polisherStep('dead', { keeps: { for: '10 min' } });
    expect(found([...ISOLATED, later(8), open], step)).toEqual(['P5 cover-off']);
  });

  test('may end with more lapses than the table names', () => {
    const strict = polisherWith({
      sources: { ...POLISHER.sources, mains: { ...mains, keeps: { unless: ['moved'] } } },
    });
    expect(found([...ISOLATED, lapsed('moved'), open], strict)).toEqual(['P5 cover-off']);
    const step = polisherStep('dead', { keeps: { unless: ['joined'] } });
    const joins = [joined(ODE), did('lock', { lock: 'O1' }, ODE)];
    expect(found([...ISOLATED, ...joins, open], step)).toEqual(['P5 cover-off']);
  });
});

/** Which rows of the lapse table end a proof of dead, told as a lapse alone. */
const ends: Readonly<Record<Lapse, boolean>> = {
  time: false,
  leftSight: true,
  panelTouched: true,
  reEnergized: true,
  moved: false,
  instrumentDoubt: false,
  joined: false,
  parked: true,
  resumed: true,
  handedOver: true,
  windowOpened: true,
};

describe('P5: the lapse table', () => {
  test.each(LAPSES.map((lapse) => [lapse, ends[lapse]] as const))(
    '%s ends a proof: %s',
    (lapse, dies) => {
      const breaks = dies ? ['P5 cover-off'] : [];
      expect(found([...ISOLATED, lapsed(lapse), open])).toEqual(breaks);
      const listed = [...ISOLATED, lapsed(lapse, { steps: ['dead'] }), open];
      expect(found(listed)).toEqual(['P5 cover-off']);
    },
  );

  test.each(['reEnergized', 'windowOpened'] as const)('%s of another source leaves it', (lapse) => {
    const elsewhere = [...ISOLATED, lapsed(lapse, { source: 'heat' }), open];
    expect(found(elsewhere)).toEqual([]);
    expect(found([...ISOLATED, lapsed(lapse, { source: 'nowhere' }), open])).toEqual([
      'P5 cover-off',
    ]);
  });
});
