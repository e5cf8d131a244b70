import { expect, test } from 'vitest';
import { instantOf, isUuidV7, uuidTime } from '#lib/core/record/index.ts';
import { deviceClock, freshUuid, wallTime } from '#lib/device/clock.ts';

test('wall time is RFC 3339 with milliseconds and the offset of the place', () => {
  const date = new Date('2026-11-25T15:42:07.120Z');
  const text = wallTime(date);
  // The form of RFC 3339 section 5.6, with a numeric offset.
  expect(text).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}[+-]\d\d:\d\d$/);
  expect(Date.parse(text)).toBe(date.getTime());
  expect(instantOf(text)).toEqual({
    ms: date.getTime(),
    offset: 0 - date.getTimezoneOffset() || 0,
  });
});

test('the running clock counts whole milliseconds and never goes back', () => {
  const clock = deviceClock();
  const seen = Array.from({ length: 1000 }, () => clock.now());
  for (const [at, now] of seen.entries()) {
    expect(Number.isSafeInteger(now.mono) && now.mono >= 0).toBe(true);
    expect(now.mono).toBeGreaterThanOrEqual(seen[at - 1]?.mono ?? 0);
    expect(now.boot).toBe(seen[0]?.boot);
  }
});

test('every run of the clock has a name of its own', () => {
  const boots = new Set(Array.from({ length: 100 }, () => deviceClock().now().boot));
  expect(boots.size).toBe(100);
  // 16 bytes in Base 64 without padding: RFC 4648 section 5.
  for (const boot of boots) expect(boot).toMatch(/^[\w-]{22}$/);
});

test('fresh job names are version 7, of now, and differ', () => {
  const before = Date.now();
  const names = Array.from({ length: 100 }, freshUuid);
  expect(new Set(names).size).toBe(100);
  for (const name of names) {
    expect(isUuidV7(name)).toBe(true);
    expect(uuidTime(name)).toBeGreaterThanOrEqual(before);
    expect(uuidTime(name)).toBeLessThanOrEqual(Date.now());
  }
});
