import { describe, expect, test } from 'vitest';
import { DEAD, ISOLATED, POLISHER, polisherWith } from '../../../support/polisher.ts';
import {
  ODE,
  before,
  broken,
  corrected,
  did,
  joined,
  lapsed,
  withResult,
  without,
  type Happening,
} from '../../../support/trace.ts';

const found = (happenings: readonly Happening[], checklist = POLISHER) =>
  broken(checklist, happenings).filter((one) => one.startsWith('P12 '));

const ready = before(ISOLATED, 'dead');
const dead = did('dead', DEAD);

describe('P12: every source counted', () => {
  test('passes when the sources were counted and the points are secured', () => {
    expect(found([...ready, dead])).toEqual([]);
  });

  test('is broken without a count', () => {
    expect(found([...without(ready, 'count'), dead])).toEqual(['P12 dead']);
  });

  test.each([
    [1, true],
    [4, true],
    [5, false],
    [0, false],
    [-1, false],
    [2.5, false],
  ])('with %d counted of four declared: %s', (sources, passes) => {
    const counted = withResult(ready, 'count', { sources });
    expect(found([...counted, dead])).toEqual(passes ? [] : ['P12 dead']);
  });

  test('the last count stands', () => {
    const more = [...ready, did('told', { sources: 9 })];
    expect(found([...more, dead])).toEqual(['P12 dead']);
    expect(found([...more, did('count', { sources: 4 }), dead])).toEqual([]);
  });

  test.each([
    [1, true],
    [4, true],
    [5, false],
    [0, false],
    [2.5, false],
  ])('a count of %d that comes with the proof itself: %s', (sources, passes) => {
    const uncounted = [...without(ready, 'count'), did('dead', { ...DEAD, sources })];
    expect(found(uncounted)).toEqual(passes ? [] : ['P12 dead']);
    const counted = [...ready, did('dead', { ...DEAD, sources })];
    expect(found(counted)).toEqual(passes ? [] : ['P12 dead']);
  });

  test('a count that comes with the proof takes nothing back that was counted', () => {
    const more = [...ready, did('told', { sources: 9 }), did('dead', { ...DEAD, sources: 4 })];
    expect(found(more)).toEqual(['P12 dead']);
  });

  test('a count that is said again without a number stands', () => {
    expect(found([...ready, did('count'), dead])).toEqual([]);
  });

  test('a count that was taken back is none', () => {
    expect(found([...ready, corrected('count'), dead])).toEqual(['P12 dead']);
    const fewer = [...ready, did('told', { sources: 9 }), corrected('told')];
    expect(found([...fewer, dead])).toEqual(['P12 dead']);
  });

  test.each<[string, Happening[]]>([
    ['a point that is not cut', [lapsed('reEnergized', { source: 'mains' })]],
    ['a plug out of sight', [lapsed('leftSight')]],
    ['a lock that is missing', [joined(ODE)]],
    ['a lock that is not sure', [corrected('lock')]],
  ])('is broken by %s', (_, happenings) => {
    expect(found([...ready, ...happenings, dead])).toEqual(['P12 dead']);
  });

  test('lets other sources be live still', () => {
    const lamp = {
      kind: 'electrical',
      label: 'Lamp',
      points: { cord: { label: 'Cord', by: 'plug', control: 'exclusive' } },
    } as const;
    const more = polisherWith({ sources: { ...POLISHER.sources, lamp } });
    expect(found([...ready, dead], more)).toEqual([]);
  });
});
