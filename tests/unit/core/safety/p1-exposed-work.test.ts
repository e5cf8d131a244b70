import { describe, expect, test } from 'vitest';
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
  before,
  began,
  broken,
  corrected,
  did,
  joined,
  lapsed,
  left,
  notDone,
  opened,
  tried,
  type Happening,
} from '../../../support/trace.ts';

/** What of P1 a trace breaks. */
const exposures = (happenings: readonly Happening[], checklist = POLISHER) =>
  broken(checklist, happenings).filter((one) => one.startsWith('P1 '));

const open = did('cover-off');

describe('P1: no exposed work on a live source', () => {
  test('passes when each source is isolated, controlled, released and proved', () => {
    expect(exposures([...ISOLATED, open])).toEqual([]);
  });

  test('is broken by opening the machine at once', () => {
    expect(exposures([opened(MARA), open])).toEqual(['P1 cover-off']);
  });

  test('is broken by the first of two hands too', () => {
    expect(exposures([opened(MARA), began('cover-off')])).toEqual(['P1 cover-off']);
  });

  test('does not count a refused try', () => {
    expect(exposures([opened(MARA), tried({ step: 'cover-off' })])).toEqual([]);
  });

  test('counts a photo that the checklist says exposes', () => {
    expect(
      exposures([opened(MARA), did('snap')], polisherStep('snap', { exposes: ['mains'] })),
    ).toEqual(['P1 snap']);
  });

  test('treats a source that is not declared as live', () => {
    const stray = polisherStep('cover-off', { exposes: ['boiler'] });
    expect(exposures([...ISOLATED, open], stray)).toEqual(['P1 cover-off']);
  });

  test.each<[string, Happening[]]>([
    ['a point that came back', [lapsed('reEnergized', { source: 'mains' })]],
    ['a plug out of sight', [lapsed('leftSight')]],
    ['a touched panel', [lapsed('panelTouched')]],
    ['an isolation taken back', [corrected('unplug')]],
    ['a lock statement taken back', [corrected('lock')]],
    ['an isolation whose fact a lapse lists', [lapsed('time', { steps: ['off'] })]],
    ['a lock whose fact a lapse lists', [lapsed('time', { steps: ['lock'] })]],
    ['a heat reading taken back', [corrected('cool')]],
    [
      'a heat reading after a long absence',
      [lapsed('leftSight', { minutes: 30 }), did('dead', DEAD)],
    ],
    ['a person who joined without a lock', [joined(ODE)]],
    ['a refused try that showed it live', [tried({ live: 'mains' })]],
  ])('is broken after %s', (_, happenings) => {
    expect(exposures([...ISOLATED, ...happenings, open])).toEqual(['P1 cover-off']);
  });
});

describe('P1: control of a lock point', () => {
  const both = [...ISOLATED, joined(ODE)];

  test('asks a lock of everyone present', () => {
    expect(exposures([...both, did('lock', { lock: 'O1' }, ODE), open])).toEqual([]);
  });

  test('asks no lock of somebody who left', () => {
    expect(exposures([...both, did('lock', { lock: 'O1' }, ODE), left(ODE, ['O1']), open])).toEqual(
      [],
    );
  });

  test('asks one of whoever acts, present or not', () => {
    expect(exposures([...ISOLATED, did('cover-off', {}, ODE)])).toEqual(['P1 cover-off']);
  });

  test('takes no tag for a lock', () => {
    const tagged = did('lock', { tag: 'hands off', measure: 'fuse in pocket' }, ODE);
    expect(exposures([...both, tagged, open])).toEqual(['P1 cover-off']);
  });

  test('takes no lock that was stated before the point was cut again', () => {
    const again = [lapsed('reEnergized', { source: 'mains' }), did('case', CASE_CLEAR), did('off')];
    const rest = [did('unplug'), did('dead', DEAD), did('drain', DRAINED), open];
    expect(exposures([...ISOLATED, ...again, ...rest])).toContain('P1 cover-off');
    const relocked = [...again, did('lock', { lock: 'M1' }), ...rest.slice(0, 2)];
    expect(exposures([...ISOLATED, ...relocked, did('raise')])).toEqual([]);
  });

  test('leaves the lock of the other person alone when one is taken back', () => {
    const odes = [...both, did('lock', { lock: 'O1' }, ODE)];
    const acts = [corrected('lock'), did('lock', { lock: 'M1' }), open];
    expect(exposures([...odes, ...acts])).toEqual([]);
    expect(exposures([...odes, corrected('lock'), open])).toEqual(['P1 cover-off']);
  });

  test('doubts every lock when somebody without one takes the statement back', () => {
    expect(exposures([...ISOLATED, corrected('lock', ODE), open])).toEqual(['P1 cover-off']);
  });
});

describe('P1: control of a plug', () => {
  const plugOnly = polisherWith({
    sources: {
      ...POLISHER.sources,
      mains: {
        ...POLISHER.sources.mains!,
        points: { plug: { label: 'Plug', by: 'plug', control: 'exclusive' } },
      },
    },
    steps: POLISHER.steps
      .filter((step) => !['find', 'off', 'unlock', 'power'].includes(step.id))
      .map((step) => (step.id === 'lock' ? { ...step, point: 'plug' } : step)) as never,
  });
  const start = [
    opened(MARA, ODE),
    did('told'),
    did('case', CASE_CLEAR),
    did('count', { sources: 4 }),
  ];
  const unplugged = [did('gloves'), did('unplug')];
  const rest = [did('cool', COOL), did('dead', DEAD), did('raise')];

  test('covers one person alone', () => {
    const alone = [opened(MARA), ...start.slice(1), notDone('lock'), ...unplugged, ...rest];
    expect(exposures(alone, plugOnly)).toEqual([]);
    const two = [...start, notDone('lock'), ...unplugged, ...rest];
    expect(exposures(two, plugOnly)).toEqual(['P1 raise']);
  });

  test('with more people asks a lock of everyone on it', () => {
    const locks = [did('lock', { lock: 'M1' }), did('lock', { lock: 'O1' }, ODE)];
    expect(exposures([...start, ...unplugged, ...locks, ...rest], plugOnly)).toEqual([]);
    expect(exposures([...start, ...unplugged, locks[0]!, ...rest], plugOnly)).toEqual(['P1 raise']);
  });

  test('stays with a locked plug out of sight, and ends with an unlocked one', () => {
    const alone = [opened(MARA), ...start.slice(1), ...unplugged];
    const away = [lapsed('leftSight'), did('dead', DEAD), did('raise')];
    const locked = [...alone, did('lock', { lock: 'M1' }), did('cool', COOL), ...away];
    expect(exposures(locked, plugOnly)).toEqual([]);
    expect(exposures([...alone, notDone('lock'), did('cool', COOL), ...away], plugOnly)).toEqual([
      'P1 raise',
    ]);
  });

  test('ends when the one who keeps it leaves', () => {
    const two = [...ISOLATED.slice(1, 7), did('lock', { lock: 'O1' }, ODE)];
    const kept = [
      did('gloves', {}, ODE),
      did('unplug', {}, ODE),
      did('cool', COOL),
      did('dead', DEAD),
    ];
    const gone = [opened(MARA, ODE), ...two, ...kept, left(ODE, ['O1']), did('raise')];
    expect(exposures(gone)).toEqual(['P1 raise']);
    expect(exposures([...gone.slice(0, -2), did('raise')])).toEqual([]);
  });
});

describe('P1: control of a tag point', () => {
  const tagged = polisherWith({
    sources: {
      ...POLISHER.sources,
      mains: {
        ...POLISHER.sources.mains!,
        points: {
          ...POLISHER.sources.mains!.points,
          breaker: { label: 'Breaker', by: 'breaker', control: 'tag' },
        },
      },
    },
  });
  const control = (result: object) => {
    const rest = ISOLATED.slice(7);
    return exposures([...before(ISOLATED, 'lock'), did('lock', result), ...rest, open], tagged);
  };

  test('takes a tag with one more measure, or a lock', () => {
    expect(control({ tag: 'hands off', measure: 'fuse in pocket' })).toEqual([]);
    expect(control({ lock: 'M1' })).toEqual([]);
  });

  test.each([
    [{ tag: 'hands off' }],
    [{ tag: 'hands off', measure: '' }],
    [{ measure: 'fuse' }],
    [{}],
  ])('does not take %j', (result) => {
    expect(control(result)).toContain('P1 cover-off');
  });
});

describe('P1: a prop', () => {
  const up = [...ISOLATED, open, did('raise')];

  test('that may have moved stops exposed work', () => {
    expect(exposures([...up, lapsed('moved'), did('wires', { connectors: [] })])).toEqual([
      'P1 wires',
    ]);
  });

  test('is not seated by opening something else', () => {
    const other = [lapsed('moved'), did('cover-on'), did('cover-off')];
    expect(exposures([...up, ...other, did('ohms')])).toEqual(['P1 cover-off', 'P1 ohms']);
  });

  test('may be seated again, or taken out', () => {
    const moved = [...up, lapsed('moved')];
    expect(exposures([...moved, did('raise'), did('wires', { connectors: [] })])).toEqual([]);
    expect(exposures([...moved, did('lower'), did('ohms')])).toEqual([]);
  });
});
