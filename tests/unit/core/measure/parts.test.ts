import { describe, expect, test } from 'vitest';
import { capacitorBand, replacementProblems } from '../../../../src/lib/core/measure/capacitors.ts';
import { conductorOhms, cordOhms } from '../../../../src/lib/core/measure/conductors.ts';
import { elementOhms, powerBand } from '../../../../src/lib/core/measure/elements.ts';
import {
  nameWindings,
  resistanceAt,
  windingTemperature,
} from '../../../../src/lib/core/measure/windings.ts';
import { problemOf, valueOf } from '../../../support/outcome.ts';

describe('windings of three terminals', () => {
  // Start–run is the sum of start–common and common–run: 3 + 7 = 10.
  test('are named whichever way they are numbered', () => {
    const ohms = { cr: 3, cs: 7, sr: 10 };
    const names = ['C', 'R', 'S'];
    for (const [c, r, s] of [
      ['1', '2', '3'],
      ['1', '3', '2'],
      ['2', '1', '3'],
      ['2', '3', '1'],
      ['3', '1', '2'],
      ['3', '2', '1'],
    ] as const) {
      const found = valueOf(
        nameWindings({ [`${c}-${r}`]: ohms.cr, [`${s}-${c}`]: ohms.cs, [`${s}-${r}`]: ohms.sr }),
      );
      expect([found.common, found.run, found.start], names.join()).toEqual([c, r, s]);
      expect(found.off).toBe(0);
    }
  });

  test('a broken sum names no terminals', () => {
    const problem = problemOf(nameWindings({ '1-2': 3, '1-3': 7, '2-3': 8.5 }));
    expect(problem.code).toBe('sum-broken');
    expect(problem.says).toContain('shorted turns');
    expect(problemOf(nameWindings({ '1-2': 3, '1-3': 7, '2-3': 12 })).code).toBe('sum-broken');
    expect(nameWindings({ '1-2': 3, '1-3': 7, '2-3': 9.8 }).ok).toBe(true);
  });

  test('like windings have a common and no start', () => {
    const problem = problemOf(nameWindings({ '1-2': 5, '1-3': 5, '2-3': 10 }));
    expect(problem.code).toBe('windings-alike');
    expect(problem.says).toMatch(/^1 is common/u);
  });

  test.each([
    [{ '1-2': 3, '1-3': 7 }],
    [{ '1-2': 3, '1-3': 7, '3-4': 10 }],
    [{ '1-2': 3, '1-3': 7, '2': 10 }],
  ])('%j is not three pairs of three terminals', (ohms: Record<string, number>) => {
    expect(problemOf(nameWindings(ohms)).code).toBe('three-pairs');
  });

  test('open and shorted readings are refused', () => {
    expect(problemOf(nameWindings({ '1-2': 3, '1-3': Infinity, '2-3': 8 })).code).toBe(
      'not-a-number',
    );
    expect(problemOf(nameWindings({ '1-2': 0, '1-3': 3, '2-3': 3 })).code).toBe('out-of-range');
  });
});

describe('winding temperature', () => {
  test('the same resistance is the same temperature', () => {
    const same = windingTemperature({ cold: 80, coldAt: 20, hot: 80, metal: 'copper' });
    expect(valueOf(same).temperature).toBeCloseTo(20, 9);
    expect(valueOf(same).rise).toBeCloseTo(0, 9);
  });

  test('the rise is over the room at the end (IEC 60335-1, 11.8)', () => {
    const of = { cold: 80, coldAt: 20, hot: 100, metal: 'copper' } as const;
    const [r1, r2, k, t1, t2] = [80, 100, 234.5, 20, 24];
    const clause = ((r2 - r1) / r1) * (k + t1) - (t2 - t1);
    expect(valueOf(windingTemperature({ ...of, roomNow: 24 })).rise).toBeCloseTo(clause, 9);
  });

  test('undoes the change of resistance with temperature', () => {
    const hot = resistanceAt(80, 20, 95, 'aluminium-228');
    const back = windingTemperature({ cold: 80, coldAt: 20, hot, metal: 'aluminium-228' });
    expect(valueOf(back).temperature).toBeCloseTo(95, 9);
  });

  test('an unknown metal or an open winding is refused', () => {
    const of = { cold: 80, coldAt: 20, hot: 100, metal: 'copper' } as const;
    expect(problemOf(windingTemperature({ ...of, metal: 'brass' as 'copper' })).code).toBe(
      'unknown-metal',
    );
    expect(problemOf(windingTemperature({ ...of, hot: Infinity })).says).toContain(
      'hot resistance',
    );
    expect(problemOf(windingTemperature({ ...of, cold: 0 })).says).toContain('cold resistance');
  });
});

describe('elements', () => {
  test('a small element has no upper ohms, as the table sets no least power', () => {
    expect(valueOf(elementOhms(12, 20)).most).toBeNull();
  });
  test('refuses what is no rating', () => {
    expect(problemOf(elementOhms(0, 100)).says).toContain('voltage');
    expect(problemOf(elementOhms(240, 0)).says).toContain('power');
    expect(problemOf(powerBand(NaN, 'motor')).code).toBe('not-a-number');
  });
});

describe('conductors', () => {
  const wire = { awg: 12, metal: 'copper', celsius: 20, metres: 10 } as const;

  test('aluminium has more resistance, solid a little less than stranded', () => {
    const copper = valueOf(conductorOhms(wire));
    expect(valueOf(conductorOhms({ ...wire, metal: 'aluminium' }))).toBeGreaterThan(copper);
    expect(valueOf(conductorOhms({ ...wire, strand: 'solid' }))).toBeLessThan(copper);
  });

  test('a size that is not in the table is refused with those that are', () => {
    const { code, says } = problemOf(conductorOhms({ ...wire, awg: 13 }));
    expect(code).toBe('size-not-listed');
    expect(says).toContain('6, 8, 10, 12, 14, 16, 18');
    expect(
      problemOf(conductorOhms({ ...wire, awg: 10, metal: 'aluminium', strand: 'solid' })).code,
    ).toBe('size-not-listed');
    expect(problemOf(conductorOhms({ ...wire, metal: 'tin' as 'copper' })).code).toBe(
      'unknown-metal',
    );
    expect(problemOf(conductorOhms({ ...wire, metres: -1 })).code).toBe('out-of-range');
  });

  test('the cord of a bond test grows with length and heat, and shrinks with section', () => {
    const base = valueOf(cordOhms({ metres: 2, mm2: 1 }));
    expect(base).toBeCloseTo(0.03448, 5);
    expect(valueOf(cordOhms({ metres: 4, mm2: 1 }))).toBeCloseTo(2 * base, 12);
    expect(valueOf(cordOhms({ metres: 2, mm2: 2 }))).toBeCloseTo(base / 2, 12);
    expect(valueOf(cordOhms({ metres: 2, mm2: 1, celsius: 75 })) / base).toBeCloseTo(
      309.5 / 254.5,
      12,
    );
    expect(problemOf(cordOhms({ metres: 2, mm2: 0 })).says).toContain('section');
  });
});

describe('capacitors', () => {
  test('the band is that of the label, ±6 % unless it says otherwise', () => {
    expect(valueOf(capacitorBand(45))).toEqual({ least: 45 * 0.94, most: 45 * 1.06 });
    expect(valueOf(capacitorBand(100, 0, 20))).toEqual({ least: 100, most: 120 });
    expect(problemOf(capacitorBand(0)).code).toBe('out-of-range');
    expect(problemOf(capacitorBand(45, -1)).code).toBe('out-of-range');
  });

  test('a replacement has the same value and never fewer volts', () => {
    const old = { farad: 45e-6, volts: 370 };
    expect(replacementProblems(old, { farad: 45e-6, volts: 440 })).toEqual([]);
    const codes = replacementProblems(old, { farad: 40e-6, volts: 250 }).map(({ code }) => code);
    expect(codes).toEqual(['volts-lower', 'value-differs']);
  });
});
