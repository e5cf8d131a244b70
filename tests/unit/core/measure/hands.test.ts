import {
  addDays as addDaysElsewhere,
  addMonths as addMonthsElsewhere,
  format,
  parseISO,
} from 'date-fns';
import { describe, expect, test } from 'vitest';
import { addDays, addMonths, isDate } from '../../../../src/lib/core/measure/dates.ts';
import { cutLevelSuffices, gloveProblems } from '../../../../src/lib/core/measure/hands.ts';
import {
  gripMultiplier,
  horizontalMultiplier,
  distanceMultiplier,
  liftingIndex,
  liftingLimit,
  twistMultiplier,
  verticalMultiplier,
} from '../../../../src/lib/core/measure/lifting.ts';
import { problemOf, valueOf } from '../../../support/outcome.ts';

const codes = (...of: Parameters<typeof gloveProblems>) =>
  gloveProblems(...of).map(({ code }) => code);

describe('insulating gloves', () => {
  // 29 CFR 1910.137 Table I-4.
  test.each([
    ['00', 240, []],
    ['00', 500, []],
    ['00', 501, ['class-too-low']],
    ['0', 1000, []],
    ['0', 1001, ['class-too-low']],
    ['2', 17000, []],
  ])('class %s at %d V', (name, volts, expected) => {
    expect(codes({ class: name, volts })).toEqual(expected);
  });

  test('direct current has its own figures (ASTM D120)', () => {
    expect(codes({ class: '00', volts: 750, current: 'dc' })).toEqual([]);
    expect(codes({ class: '00', volts: 751, current: 'dc' })).toEqual(['class-too-low']);
  });

  // 29 CFR 1910.137 Table I-5: six months once issued, twelve on the shelf.
  const worn = { class: '0', volts: 240, tested: '2026-01-10', issued: '2026-01-20' };
  test.each([
    ['2026-07-10', []],
    ['2026-07-11', ['test-overdue']],
    ['2026-07-12', ['test-overdue']],
  ])('issued and tested on 2026-01-10, used on %s', (on, expected) => {
    expect(codes({ ...worn, on })).toEqual(expected);
  });

  test('half a year is never longer than 182 days', () => {
    const autumn = { ...worn, tested: '2026-03-01', issued: '2026-03-02' };
    expect(codes({ ...autumn, on: '2026-08-30' })).toEqual([]);
    expect(codes({ ...autumn, on: '2026-08-31' })).toEqual(['test-overdue']);
  });

  test('on the shelf eleven months are fine, thirteen are not', () => {
    const shelf = { class: '0', volts: 240, tested: '2025-10-14' };
    expect(codes({ ...shelf, on: '2026-09-14' })).toEqual([]);
    expect(codes({ ...shelf, on: '2026-10-14' })).toEqual([]);
    expect(codes({ ...shelf, on: '2026-10-15' })).toEqual(['shelf-overdue']);
    expect(codes({ ...shelf, issued: '2026-11-01', on: '2026-10-20' })).toEqual(['shelf-overdue']);
  });

  test('issued more than a year after the test is said as well', () => {
    const late = {
      class: '0',
      volts: 240,
      tested: '2025-01-10',
      issued: '2026-02-01',
      on: '2026-02-02',
    };
    expect(codes(late)).toEqual(['issued-too-late', 'test-overdue']);
  });

  test.each([
    [{ class: '7', volts: 240 }, 'unknown-class'],
    [{ class: '00', volts: -1 }, 'out-of-range'],
    [{ class: '00', volts: NaN }, 'not-a-number'],
    [{ ...worn, on: '2026-02-30' }, 'not-a-date'],
    [{ ...worn, tested: '10/01/2026', on: '2026-03-01' }, 'not-a-date'],
    [{ class: '0', volts: 240, issued: '2026-01-20', on: '2026-03-01' }, 'dates-missing'],
    [{ class: '0', volts: 240, tested: '2026-01-10' }, 'dates-missing'],
    [{ ...worn, on: '2025-12-31' }, 'test-later'],
  ])('%j is %s', (glove, code) => {
    expect(codes(glove)).toEqual([code]);
  });
});

describe('cut levels', () => {
  test('a higher level does for a lower one, not the other way', () => {
    expect(valueOf(cutLevelSuffices('A4', 'A3'))).toBe(true);
    expect(valueOf(cutLevelSuffices('A4', 'A4'))).toBe(true);
    expect(valueOf(cutLevelSuffices('A3', 'A4'))).toBe(false);
    expect(problemOf(cutLevelSuffices('E', 'A4')).says).toContain('“E”');
    expect(problemOf(cutLevelSuffices('A4', 'A10')).says).toContain('“A10”');
  });
});

describe('lifting', () => {
  const ideal = { h: 1, v: 1, d: 1, a: 1, f: 1, c: 1 };

  test('the ideal lift is the load constant, and any zero forbids it', () => {
    expect(valueOf(liftingLimit(ideal, 'lb')).limit).toBe(51);
    expect(valueOf(liftingLimit({ ...ideal, h: 0 }, 'lb')).limit).toBe(0);
    expect(liftingIndex(50, 0)).toBe(Infinity);
  });

  test('measures beyond the reach of the equation are worth nothing, within the best range one', () => {
    const inch = 2.54;
    expect(valueOf(horizontalMultiplier(5 * inch))).toBe(1);
    expect(valueOf(horizontalMultiplier(25 * inch))).toBe(0.4);
    expect(valueOf(horizontalMultiplier(25.1 * inch))).toBe(0);
    expect(valueOf(verticalMultiplier(30 * inch))).toBe(1);
    expect(valueOf(verticalMultiplier(70.1 * inch))).toBe(0);
    expect(valueOf(distanceMultiplier(10 * inch))).toBe(1);
    expect(valueOf(distanceMultiplier(70.1 * inch))).toBe(0);
    expect(valueOf(twistMultiplier(0))).toBe(1);
    expect(valueOf(twistMultiplier(90))).toBe(0.71);
    expect(valueOf(twistMultiplier(136))).toBe(0);
    expect(gripMultiplier('good', 0)).toBe(1);
  });

  test('refuses multipliers over one and measures below zero', () => {
    expect(problemOf(liftingLimit({ ...ideal, v: 1.2 }, 'kg')).says).toContain('VM');
    expect(problemOf(liftingLimit({ ...ideal, c: -0.1 }, 'kg')).says).toContain('CM');
    expect(problemOf(horizontalMultiplier(-5)).says).toContain('horizontal');
    expect(problemOf(twistMultiplier(NaN)).code).toBe('not-a-number');
  });
});

describe('calendar days', () => {
  const days = ['2026-01-31', '2024-02-29', '2026-12-31', '2025-08-30', '2023-11-15'];

  test.each(days)('months and days from %s agree with date-fns', (day) => {
    for (const months of [1, 6, 12, 25]) {
      const theirs = format(addMonthsElsewhere(parseISO(day), months), 'yyyy-MM-dd');
      expect(addMonths(day, months)).toBe(theirs);
    }
    for (const count of [0, 1, 182, 365, 1000]) {
      expect(addDays(day, count)).toBe(
        format(addDaysElsewhere(parseISO(day), count), 'yyyy-MM-dd'),
      );
    }
  });

  test('only real days are days', () => {
    expect(['2026-02-28', '2024-02-29', '2000-02-29'].every(isDate)).toBe(true);
    const none = [
      '2026-02-29',
      '1900-02-29',
      '2026-13-01',
      '2026-00-10',
      '2026-1-1',
      '',
      '2026-06-31',
    ];
    expect(none.some(isDate)).toBe(false);
    expect(addMonths('nonsense', 1)).toBeNull();
    expect(addDays('nonsense', 1)).toBeNull();
  });
});
