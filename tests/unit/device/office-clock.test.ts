import { expect, test } from 'vitest';
import { officeClock } from '#lib/device/sync/office-clock.ts';

const ticks = (wall: number, ran: number) => ({ wall, ran });

// Half of the way is taken for the answer, as RFC 5905 section 8 does with four times; here the office has one.
test('the office is asked half way between question and answer', () => {
  expect(officeClock(10_000, ticks(70_000, 500), ticks(71_000, 1500))).toEqual({
    ahead: 60_500,
    within: 500,
  });
  expect(officeClock(10_000, ticks(4000, 0), ticks(4200, 200))?.ahead).toBe(-5900);
});

test('an answer that took too long says nothing, nor one in which the wall clock was set', () => {
  expect(officeClock(0, ticks(0, 0), ticks(20_001, 20_001))).toBeNull();
  expect(officeClock(0, ticks(0, 0), ticks(3_600_100, 100))).toBeNull();
});
