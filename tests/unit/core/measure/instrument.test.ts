import { describe, expect, test } from 'vitest';
import {
  accuracyOf,
  checkOnKnownSource,
  compareRatings,
  fitFor,
  readCategory,
  readingsInDoubt,
  type InstrumentCard,
} from '../../../../src/lib/core/measure/instrument.ts';
import { problemOf, valueOf } from '../../../support/outcome.ts';

const card: InstrumentCard = {
  id: 'M7',
  category: 'CAT III',
  volts: '600 V',
  due: '2027-03-01',
  percent: '0.9',
  counts: 3,
};
const codes = (...of: Parameters<typeof fitFor>) => fitFor(...of).map(({ code }) => code);

describe('a meter card', () => {
  test('fits a source of its category and volts until the day it is due', () => {
    expect(fitFor(card, 'CAT III', 240, '2027-03-01')).toEqual([]);
    expect(fitFor(card, 'CAT II', 600, '2026-09-14')).toEqual([]);
    expect(codes(card, 'CAT III', 240, '2027-03-02')).toEqual(['calibration-overdue']);
  });

  // IEC 61010-1: a hard-wired terminal block is CAT III; CAT II 1000 V stands the same impulse from a
  // source of higher impedance, so its volts do not make up for its category.
  test('CAT III 600 V is taken and CAT II 1000 V refused at a hard-wired 240 V block', () => {
    expect(codes(card, 'CAT III', 240, '2026-09-14')).toEqual([]);
    const other = { ...card, category: 'CAT II', volts: 1000 };
    expect(codes(other, 'CAT III', 240, '2026-09-14')).toEqual(['category-too-low']);
    expect(
      compareRatings({ category: 'CAT III', volts: 600 }, { category: 'CAT II', volts: 1000 }),
    ).toBeGreaterThan(0);
    expect(
      compareRatings({ category: 'CAT III', volts: 600 }, { category: 'CAT III', volts: 1000 }),
    ).toBeLessThan(0);
  });

  test('a higher category does not make up for too few volts', () => {
    expect(codes(card, 'CAT II', 690, '2026-09-14')).toEqual(['volts-too-low']);
  });

  test('says everything that stands against it at once', () => {
    const poor = { id: 'M8', category: 'CAT II', volts: 150, due: '2020-01-01' };
    expect(codes(poor, 'CAT IV', 240, '2026-09-14')).toEqual([
      'category-too-low',
      'volts-too-low',
      'calibration-overdue',
    ]);
  });

  test.each([
    [{ ...card, category: 'CAT 3' }, 'category-unknown'],
    [{ ...card, volts: 'many' }, 'volts-unknown'],
    [{ ...card, volts: 0 }, 'volts-unknown'],
    [{ ...card, volts: '600 ohm' }, 'volts-unknown'],
    [{ ...card, due: '2027-02-30' }, 'due-unknown'],
    [{ ...card, due: 'soon' }, 'due-unknown'],
    [{ id: 'M9', category: 'CAT III', volts: 600 }, 'due-unknown'],
  ])('%j does not pass as %s', (poor, code) => {
    expect(codes(poor, 'CAT III', 240, '2026-09-14')).toEqual([code]);
  });

  test('an unknown source or day is named too', () => {
    expect(codes(card, 'CAT V', 240, '2026-09-14')).toEqual(['source-category-unknown']);
    expect(codes(card, 'CAT III', NaN, '2026-09-14')).toEqual(['source-volts-unknown']);
    expect(codes(card, 'CAT III', 240, 'today')).toEqual(['date-unknown']);
  });

  test('categories are read with loose spacing and case', () => {
    expect(readCategory(' cat  iii ')).toBe('CAT III');
    expect(readCategory('CAT I')).toBeNull();
    expect(readCategory('toString')).toBeNull();
  });

  test('accuracy may be missing, but not nonsense', () => {
    expect(valueOf(accuracyOf(card))).toEqual({ percent: 0.9, counts: 3 });
    expect(valueOf(accuracyOf({ percent: '0.9 %' }))).toEqual({ percent: 0.9, counts: 0 });
    expect(valueOf(accuracyOf({}))).toBeNull();
    expect(problemOf(accuracyOf({ percent: -1 })).code).toBe('bad-accuracy');
    expect(problemOf(accuracyOf({ percent: 'fine' })).code).toBe('bad-accuracy');
    expect(problemOf(accuracyOf({ counts: NaN })).code).toBe('bad-accuracy');
  });
});

describe('the check on a known source', () => {
  // A published field case: a weak battery showed 177/358 V on a 120/240 V source, 47.5 and 49.2 % high.
  test.each([
    [120, 177, 47.5],
    [240, 358, 49.2],
  ])('%d V shown as %d V benches the meter', (expected, shown, percent) => {
    const { code, says } = problemOf(checkOnKnownSource(expected, shown));
    expect(code).toBe('check-failed');
    expect(says).toContain(`${percent} % too high`);
    expect(says).toContain('Bench it');
  });

  test('ten percent either way is the edge', () => {
    expect(valueOf(checkOnKnownSource(120, 132)).off).toBeCloseTo(0.1, 9);
    expect(valueOf(checkOnKnownSource(120, 108)).off).toBeCloseTo(-0.1, 9);
    expect(problemOf(checkOnKnownSource(120, 132.1)).code).toBe('check-failed');
    expect(problemOf(checkOnKnownSource(120, 107.9)).code).toBe('check-failed');
  });

  test('nothing known, or nothing shown, checks nothing', () => {
    expect(problemOf(checkOnKnownSource(0, 0)).code).toBe('no-known-source');
    expect(problemOf(checkOnKnownSource(NaN, 120)).code).toBe('no-known-source');
    expect(problemOf(checkOnKnownSource(120, NaN)).code).toBe('check-failed');
    expect(problemOf(checkOnKnownSource(120, 0)).code).toBe('check-failed');
  });
});

describe('doubt', () => {
  const acts = [
    { order: 1, kind: 'checkHeld' },
    { order: 2, kind: 'reading' },
    { order: 3, kind: 'checkHeld' },
    { order: 4, kind: 'reading' },
    { order: 5, kind: 'checkFailed' },
    { order: 6, kind: 'reading' },
    { order: 8, kind: 'reading' },
  ] as const;
  const orders = (at: number) => readingsInDoubt(acts, at).map(({ order }) => order);

  test('voids readings back to the last check that held, not to one that failed', () => {
    expect(orders(7)).toEqual([4, 6]);
  });
  test('leaves later readings to the checks that come after', () => {
    expect(orders(2)).toEqual([2]);
  });
  test('without any good check voids them all', () => {
    expect(readingsInDoubt(acts.slice(1, 2), 9)).toHaveLength(1);
  });
});
