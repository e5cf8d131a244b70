import { expect, test } from 'vitest';
import { comeBackStep, dueAt, readComeBack, seenNow } from '#lib/ui/job/come-back.ts';

const MINUTE = 60_000;
const clock = { expected: 60 * MINUTE, every: 30, seen: 0 };

test.each([
  [0, 'running'],
  [24.9, 'running'],
  [25, 'soon'],
  [30, 'due'],
  [39.9, 'due'],
  [40, 'call'],
  [50, 'send'],
  [900, 'send'],
])('at %d min without a sign of life: %s', (minutes, step) => {
  expect(comeBackStep(clock, minutes * MINUTE)).toBe(step);
});

test('a sign of life begins the interval anew, and never moves the end before it is reached', () => {
  const seen = seenNow(clock, 45 * MINUTE);
  expect(dueAt(seen)).toBe(60 * MINUTE);
  expect(comeBackStep(seen, 46 * MINUTE)).toBe('running');
  const late = seenNow(clock, 65 * MINUTE);
  expect(comeBackStep(late, 66 * MINUTE)).toBe('running');
  expect(comeBackStep(late, 95 * MINUTE)).toBe('due');
});

test('without an interval the end alone counts; what was not kept whole is no clock', () => {
  expect(comeBackStep({ ...clock, every: 0 }, 31 * MINUTE)).toBe('running');
  expect(readComeBack(clock)).toEqual(clock);
  for (const other of [null, 7, {}, { ...clock, every: null }])
    expect(readComeBack(other)).toBeUndefined();
});
