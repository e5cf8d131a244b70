import { describe, expect, test } from 'vitest';
import { ISOLATED, POLISHER, polisherWith } from '../../../support/polisher.ts';
import {
  MARA,
  ODE,
  broken,
  did,
  joined,
  lapsed,
  left,
  opened,
  parkedShut,
  removedFor,
  resumed,
  windowOpened,
  type Happening,
} from '../../../support/trace.ts';

const found = (...happenings: Happening[]) =>
  broken(POLISHER, happenings).filter((one) => one.startsWith('P3 '));

const clear = (...people: string[]) => did('clear', { people, tools: 0 });
const power = did('power');

describe('P3: nobody in the way', () => {
  test('passes when everyone said clear and no lock is left', () => {
    expect(found(opened(MARA, ODE), clear(MARA, ODE), power)).toEqual([]);
    expect(found(opened(MARA), clear(MARA), did('plug-in'), power)).toEqual([]);
  });

  test('is broken without a roll call', () => {
    expect(found(opened(MARA), power)).toEqual(['P3 power']);
  });

  test('is broken by one of two who did not say clear', () => {
    expect(found(opened(MARA, ODE), clear(MARA), power)).toEqual(['P3 power']);
  });

  test('asks nobody who left', () => {
    expect(found(opened(MARA, ODE), left(ODE), clear(MARA), power)).toEqual([]);
  });

  test.each<[string, Happening]>([
    ['an exposed step', did('ohms')],
    ['somebody who joined', joined(ODE)],
    ['somebody who left', left(ODE)],
    ['a lapse that lists it', lapsed('time', { steps: ['clear'] })],
    ['a joiner told as a lapse', lapsed('joined')],
    ['a handover told as a lapse', lapsed('handedOver')],
  ])('a roll call ends with %s', (_, after) => {
    expect(found(opened(MARA), clear(MARA), after, power)).toEqual(['P3 power']);
  });

  test('a roll call ends with a suspension, and not with a point that is cut again', () => {
    const parked = [parkedShut(), resumed()];
    expect(found(...ISOLATED, clear(MARA), ...parked, did('unlock'), power)).toEqual(['P3 power']);
    const cut = [did('unlock'), power, did('off'), power];
    expect(found(...ISOLATED, clear(MARA), ...cut)).toEqual([]);
  });

  test('a roll call ends with a lock removed for somebody away', () => {
    const away = [did('lock', { lock: 'O1' }, ODE), removedFor()];
    expect(found(opened(MARA), clear(MARA), ...away, power)).toEqual(['P3 power']);
  });

  test('is broken by a lock, a tag or the firm’s lock on any point of the source', () => {
    const locked = (result: object) =>
      found(opened(MARA), did('lock', result), clear(MARA), did('plug-in'));
    expect(locked({ lock: 'M1' })).toEqual(['P3 plug-in']);
    expect(locked({ tag: 'hands off' })).toEqual(['P3 plug-in']);
    const firm = [parkedShut({ lock: 'F1' }), resumed(), clear(MARA), did('plug-in')];
    expect(found(...ISOLATED, ...firm)).toEqual(['P3 plug-in']);
  });

  test('is not broken by a lock that its owner took along', () => {
    const two = [opened(MARA, ODE), did('lock', { lock: 'O1' }, ODE), did('lock', { lock: 'M1' })];
    const gone = [left(ODE, ['O1', 'M1']), clear(MARA)];
    expect(found(...two, ...gone, did('unlock'), power)).toEqual([]);
    expect(found(...two, ...gone, power)).toEqual(['P3 power']);
  });

  test('counts nobody twice who is said to join twice', () => {
    const twice = [opened(MARA, ODE), joined(ODE), left(ODE), clear(MARA), power];
    expect(found(...twice)).toEqual([]);
  });

  test('is not broken by the firm’s lock on a plug that was taken in hand again', () => {
    const parked = [parkedShut({ lock: 'F1' }), resumed()];
    const plugOnly = polisherWith({
      steps: POLISHER.steps.filter((step) => !('point' in step && step.point === 'breaker')),
      sources: {
        ...POLISHER.sources,
        mains: {
          ...POLISHER.sources.mains!,
          points: { plug: POLISHER.sources.mains!.points!['plug']! },
        },
      },
    });
    const breaks = (happenings: Happening[]) =>
      broken(plugOnly, [opened(MARA), did('unplug'), ...parked, ...happenings]).filter((one) =>
        one.startsWith('P3 '),
      );
    const rest = [clear(MARA), did('plug-in')];
    expect(breaks([did('unplug'), ...rest])).toEqual([]);
    expect(breaks(rest)).toEqual(['P3 plug-in']);
    // Where a step takes the lock off, taking the point in hand does not; nor does another point.
    const breaker = [...ISOLATED, ...parked];
    expect(found(...breaker, did('off'), clear(MARA), did('power'))).toEqual(['P3 power']);
    expect(found(...breaker, did('unplug'), clear(MARA), did('power'))).toEqual(['P3 power']);
  });

  test('holds for a live window', () => {
    expect(found(opened(MARA), windowOpened('ohms'))).toEqual(['P3 ohms']);
    expect(found(opened(MARA), clear(MARA), windowOpened('ohms'))).toEqual([]);
    const locked = [opened(MARA), did('lock', { lock: 'M1' }), clear(MARA)];
    expect(found(...locked, windowOpened('ohms'))).toEqual(['P3 ohms']);
  });
});
