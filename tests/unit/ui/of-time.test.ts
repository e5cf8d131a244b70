import { expect, test } from 'vitest';
import { clock, dayAndTime, duration, timeOfDay } from '#lib/ui/words/of-time.ts';

test('a proof never looks longer than it is, a wait never shorter', () => {
  expect(duration(1_799_999)).toBe('29 min');
  expect(duration(59_999)).toBe('59 s');
  expect(duration(-5)).toBe('0 s');
  expect(duration(7_260_000)).toBe('2 h 1 min');
  expect(clock(1)).toBe('0:01');
  expect(clock(160_000)).toBe('2:40');
  expect(clock(0)).toBe('0:00');
});

test('an instant shows the clock of the place where it was recorded', () => {
  expect(timeOfDay('2026-11-25T23:42:10+05:30')).toBe('23:42');
  expect(dayAndTime('2026-11-25T23:42:10-08:00')).toContain('25');
  expect(dayAndTime('2026-11-25T23:42:10-08:00')).toContain('23:42');
  expect(dayAndTime('no date')).toBe('no date');
});
