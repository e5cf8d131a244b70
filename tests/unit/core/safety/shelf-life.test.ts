import { describe, expect, test } from 'vitest';
import { safetyKey, startSafety, stepSafety } from '#lib/core/safety/index.ts';
import { DEAD, ISOLATED, POLISHER, polisherStep, polisherWith } from '../../../support/polisher.ts';
import {
  MARA,
  ODE,
  before,
  broken,
  did,
  joined,
  lapsed,
  later,
  opened,
  other,
  restarted,
  stamped,
  type Happening,
} from '../../../support/trace.ts';

const found = (happenings: readonly Happening[], property: string, checklist = POLISHER) =>
  broken(checklist, happenings).filter((one) => one.startsWith(`${property} `));

const tenMinutes = { keeps: { for: '10 min' } };

describe('a shelf life', () => {
  test('runs anew from each time that a thing is said', () => {
    const brief = polisherStep('told', tenMinutes);
    const needs = polisherWith({
      steps: brief.steps.map((step) => (step.id === 'find' ? { ...step, needs: ['told'] } : step)),
    });
    const start = before(ISOLATED, 'find');
    expect(found([...start, later(6), did('told'), later(6), did('find')], 'P8', needs)).toEqual(
      [],
    );
    expect(found([...start, later(11), did('find')], 'P8', needs)).toEqual(['P8 find']);
  });

  test('runs on when another one has ended', () => {
    const brief = polisherStep('told', tenMinutes);
    const ended = [...ISOLATED, lapsed('time', { steps: ['told'] })];
    expect(found([...ended, later(20), did('raise')], 'P1', brief)).toEqual([]);
    expect(found([...ended, later(20), did('find'), later(20), did('raise')], 'P1', brief)).toEqual(
      ['P1 raise'],
    );
  });

  test('of what several wear runs from the first of them', () => {
    const gloves = polisherStep('gloves', tenMinutes);
    const two = [opened(MARA, ODE), ...before(ISOLATED, 'unplug').slice(1)];
    const both = [...two, later(6), did('gloves', {}, ODE)];
    expect(found([...both, later(3), did('unplug', {}, ODE)], 'P8', gloves)).toEqual([]);
    expect(found([...both, later(5), did('unplug', {}, ODE)], 'P8', gloves)).toEqual(['P8 unplug']);
  });

  test('of locks runs from the first of them, and leaves them on', () => {
    const locks = polisherStep('lock', { keeps: { for: '20 min' } });
    const both = [...ISOLATED, joined(ODE), later(5), did('lock', { lock: 'O1' }, ODE)];
    expect(found([...both, later(5), did('raise')], 'P1', locks)).toEqual([]);
    expect(found([...both, later(14), did('raise')], 'P1', locks)).toEqual(['P1 raise']);
    const roll = did('clear', { people: [MARA, ODE] });
    expect(found([...both, later(14), roll, did('plug-in')], 'P3', locks)).toEqual(['P3 plug-in']);
  });

  test('of a source is that of its proofs and releases, not of its case test or its locks', () => {
    const mains = { ...POLISHER.sources.mains!, ...tenMinutes };
    const checklist = polisherWith({ sources: { ...POLISHER.sources, mains } });
    expect(
      found([...before(ISOLATED, 'unplug'), later(15), did('unplug')], 'P11', checklist),
    ).toEqual([]);
    const proved = [...ISOLATED, later(15), did('dead', DEAD), did('raise')];
    expect(found(proved, 'P1', checklist)).toEqual([]);
  });

  test('of thirty minutes is that of a proof alone', () => {
    const mains = { ...POLISHER.sources.mains!, release: { stated: { states: 'It is let go' } } };
    const steps = POLISHER.steps.flatMap((step) =>
      step.id === 'cool' ? [step, { ...step, id: 'let-go', source: 'mains' } as never] : [step],
    );
    const checklist = polisherWith({ sources: { ...POLISHER.sources, mains }, steps });
    const done = [...before(ISOLATED, 'dead'), did('let-go'), did('dead', DEAD), later(31)];
    expect(found([...done, did('raise')], 'P1', checklist)).toEqual(['P1 raise']);
    expect(found([...done, did('dead', DEAD), did('raise')], 'P1', checklist)).toEqual([]);
  });

  test('holds to the very end of it', () => {
    const proved = [...before(ISOLATED, 'drain').slice(0, -1)];
    const second = 1 / 60;
    expect(found([...proved, later(30 - second), did('raise')], 'P1')).toEqual([]);
    expect(found([...proved, later(30), did('raise')], 'P1')).toEqual(['P1 raise']);
  });

  test('of heat is the one that its source names', () => {
    const heat = { ...POLISHER.sources.heat!, ...tenMinutes };
    const checklist = polisherWith({ sources: { ...POLISHER.sources, heat } });
    expect(found([...ISOLATED, later(5), did('cover-off')], 'P1', checklist)).toEqual([]);
    expect(found([...ISOLATED, later(9), did('cover-off')], 'P1', checklist)).toEqual([
      'P1 cover-off',
    ]);
  });

  test('that is told and not counted ends only when it is told', () => {
    let state = startSafety(POLISHER, 'told');
    for (const event of stamped([...ISOLATED, later(500), did('cover-off')])) {
      const stepped = stepSafety(state, event);
      expect(stepped.violations).toEqual([]);
      state = stepped.state;
    }
  });

  test('that is told does not mark the state with the time', () => {
    const keyAfter = (minutes: number) => {
      let state = startSafety(POLISHER, 'told');
      for (const event of stamped([
        ...before(ISOLATED, 'dead'),
        later(minutes),
        did('dead', DEAD),
      ])) {
        state = stepSafety(state, event).state;
      }
      return safetyKey(state);
    };
    expect(keyAfter(1)).toBe(keyAfter(700));
  });

  test('ends with a clock that runs backwards', () => {
    const events = stamped([...ISOLATED, did('cover-off'), did('raise')]);
    const back = events.map((event, index) =>
      index === events.length - 1 ? { ...event, mono: event.mono - 5000 } : event,
    );
    let state = startSafety(POLISHER);
    const breaks = back.flatMap((event) => {
      const stepped = stepSafety(state, event);
      state = stepped.state;
      return stepped.violations.map((one) => one.property);
    });
    expect(breaks).toEqual(['P1', 'P5']);
  });

  test('a wait starts again on a clock that ran backwards', () => {
    const events = stamped([
      ...before(ISOLATED, 'cool'),
      later(20),
      did('told'),
      did('drain', { value: '1', unit: 'V' }),
    ]);
    const back = events.map((event, index) =>
      index === events.length - 1 ? { ...event, mono: event.mono - 5000 } : event,
    );
    let state = startSafety(POLISHER);
    const breaks = back.flatMap((event) => {
      const stepped = stepSafety(state, event);
      state = stepped.state;
      return stepped.violations.map((one) => one.property);
    });
    expect(breaks).toContain('P7');
  });

  test('a wait goes on from where a new run of the clock began', () => {
    const cut = before(ISOLATED, 'cool');
    const note = other('clock.noted', { what: 'restart', seconds: 60 });
    const drain = did('drain', { value: '1', unit: 'V', instrument: 'T-7' });
    expect(found([...cut, later(20), restarted(1), later(2.6), note, drain], 'P7')).toEqual([
      'P7 drain',
    ]);
    expect(found([...cut, later(20), restarted(1), later(2.8), note, drain], 'P7')).toEqual([]);
  });
});

describe('a clock that begins anew', () => {
  const proved = [...before(ISOLATED, 'drain').slice(0, -1)];
  const note = other('clock.noted', { what: 'restart', seconds: 60 });

  test('counts a short gap as age, and none as no age', () => {
    const second = 1 / 60;
    const after = (gap: number) =>
      found([...proved, later(29), note, restarted(gap), did('raise')], 'P1');
    expect(after(-second)).toEqual([]);
    expect(after(0.5)).toEqual([]);
    expect(after(1.5)).toEqual(['P1 raise']);
  });

  test('lets two things happen at one instant', () => {
    const events = stamped([...proved, did('raise')]).map((event) => ({ ...event, mono: 1 }));
    let state = startSafety(POLISHER);
    for (const event of events) {
      const stepped = stepSafety(state, event);
      expect(stepped.violations.filter(({ property }) => property === 'P1')).toEqual([]);
      state = stepped.state;
    }
  });

  test('has the waits of its own run alone, where shelf lives are told, too', () => {
    const drain = did('drain', { value: '1', unit: 'V', instrument: 'T-7' });
    const waits = (minutes: number) => {
      let state = startSafety(POLISHER, 'told');
      const told = [...before(ISOLATED, 'cool'), later(20), restarted(1), note, later(minutes)];
      return stamped([...told, note, drain]).flatMap((event) => {
        const stepped = stepSafety(state, event);
        state = stepped.state;
        return stepped.violations.map(({ property }) => property);
      });
    };
    expect(waits(2.6)).toContain('P7');
    expect(waits(2.8)).not.toContain('P7');
  });
});

test('what was worn too long is as fresh as any once it is put on anew', () => {
  const gloves = polisherStep('gloves', tenMinutes);
  const start = before(ISOLATED, 'unplug');
  const anew = [...start, later(11), did('told'), did('gloves'), later(5), did('unplug')];
  expect(found(anew, 'P8', gloves)).toEqual([]);
});

describe('what is worn', () => {
  const two = polisherWith({
    steps: POLISHER.steps.map((step) => {
      if (step.id === 'gloves') return { ...step, do: 'wear', on: ['gloves', 'shield'] } as never;
      if (step.id === 'gloves-off')
        return { ...step, do: 'wear', off: ['gloves', 'ring'] } as never;
      return { ...step, wearing: step.id === 'raise' ? ['shield'] : [], bare: [] };
    }),
  });

  test('ends with any part of it that comes off', () => {
    const worn = [...ISOLATED];
    expect(found([...worn, did('raise')], 'P8', two)).toEqual(['P8 raise']);
    expect(found([...worn, did('cover-off'), did('raise')], 'P8', two)).toEqual([]);
    const off = [...worn, did('cover-off'), did('gloves-off'), did('raise')];
    expect(found(off, 'P8', two).at(-1)).toBe('P8 raise');
    expect(found([...off.slice(0, -1), did('gloves'), did('raise')], 'P8', two)).not.toContain(
      'P8 raise',
    );
  });

  test('is off no more when any part of it is on again', () => {
    const bare = polisherWith({
      steps: two.steps.map((step) =>
        step.id === 'raise' ? { ...step, wearing: [], bare: ['gloves'] } : step,
      ),
    });
    const off = [...ISOLATED, did('cover-off'), did('gloves-off')];
    expect(found([...off, did('raise')], 'P8', bare)).not.toContain('P8 raise');
    expect(found([...off, did('gloves'), did('raise')], 'P8', bare)).toContain('P8 raise');
  });

  test('is the same worn twice', () => {
    const keyOf = (happenings: Happening[]) => {
      let state = startSafety(POLISHER, 'told');
      for (const event of stamped(happenings)) state = stepSafety(state, event).state;
      return safetyKey(state);
    };
    const once = [opened(MARA), did('gloves')];
    expect(keyOf([...once, did('gloves')])).toBe(keyOf(once));
    expect(keyOf([...once, did('gloves-off')])).not.toBe(keyOf(once));
  });
});

describe('a proof that does not count', () => {
  test('renews nothing', () => {
    const stale = [...ISOLATED, lapsed('panelTouched'), did('dead', { ...DEAD, pairs: {} })];
    const breaks = broken(POLISHER, [...stale, did('raise')]);
    expect(breaks.filter((one) => one.endsWith(' raise'))).toEqual([
      'P1 raise',
      'P5 raise',
      'P8 raise',
    ]);
  });

  test('ends the one before it', () => {
    const bad = [...ISOLATED, did('dead', { ...DEAD, pairs: {} }), did('cover-off')];
    expect(found(bad, 'P1')).toEqual(['P1 cover-off']);
  });
});
