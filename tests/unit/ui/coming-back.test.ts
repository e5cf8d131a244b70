import { describe, expect, test } from 'vitest';
import { LONG_ABSENCE_MINUTES } from '#lib/core/job/plan.ts';
import { awaySince, LONG_MINUTES, minutesOf, wasAway } from '#lib/ui/job/coming-back.ts';

const AT = '2026-11-25T10:42:00.000-05:00';
const after = (seconds: number) => Date.parse(AT) + seconds * 1000;

describe('opening a job again', () => {
  test.each([
    ['a look at another page', 90, false, undefined],
    ['a reload within two minutes', 120, true, undefined],
    ['a telephone call', 121, false, { ms: 121_000, restarted: false }],
    ['a dead battery', 660, true, { ms: 660_000, restarted: true }],
  ])('%s', (_, seconds, restarted, away) => {
    expect(awaySince(AT, after(seconds), restarted)).toEqual(away);
  });

  test('a wall clock that was set back over a restart asks, and claims no time', () => {
    expect(awaySince(AT, after(-5), true)).toEqual({ ms: 0, restarted: true });
    expect(awaySince(AT, after(-5), false)).toBeUndefined();
    expect(awaySince('no time', after(0), true)).toEqual({ ms: 0, restarted: true });
  });
});

test('an absence never counts as shorter than it was', () => {
  const away = { ms: 30 * 60_000 + 1, restarted: false };
  expect(minutesOf(away)).toBe(31);
  expect(wasAway(away)).toEqual({ command: 'lapse', what: 'leftSight', minutes: 31 });
  expect(minutesOf({ ms: 0, restarted: true })).toBe(1);
});

test('what counts as long is long for the engine', () => {
  expect(LONG_MINUTES).toBeGreaterThanOrEqual(LONG_ABSENCE_MINUTES);
});
