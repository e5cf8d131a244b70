import { describe, expect, test } from 'vitest';
import { burnThreshold } from '../../../../src/lib/core/measure/touch.ts';
import {
  coolingMinutes,
  coolingRate,
  dischargeSeconds,
  largestBleeder,
  plugPinCheck,
  temperatureAfter,
  timeConstant,
  voltsAfter,
} from '../../../../src/lib/core/measure/waits.ts';
import { problemOf, valueOf } from '../../../support/outcome.ts';

describe('a discharge', () => {
  test('that is done already takes no time', () => {
    expect(valueOf(dischargeSeconds({ from: 5, to: 10, tau: 1 }))).toBe(0);
    expect(valueOf(dischargeSeconds({ from: 10, to: 10, tau: 1 }))).toBe(0);
  });

  test.each([
    [{ from: 0, to: 10, tau: 1 }, 'starting voltage'],
    [{ from: -5, to: 10, tau: 1 }, 'starting voltage'],
    [{ from: 100, to: 0, tau: 1 }, 'voltage to reach'],
    [{ from: 100, to: 10, tau: 0 }, 'time constant'],
    [{ from: 100, to: 10, tau: Infinity }, 'time constant'],
    [{ from: NaN, to: 10, tau: 1 }, 'starting voltage'],
  ])('%j is refused, and the sentence says which', (of, says) => {
    expect(problemOf(dischargeSeconds(of)).says).toContain(says);
  });

  test('never ends when nothing drains it: discharge and measure', () => {
    const problem = problemOf(timeConstant({ capacitance: 45e-6 }));
    expect(problem.code).toBe('no-bleeder');
    expect(problem.says).toContain('discharge it through a resistor');
    expect(problem.says).toContain('measure');
  });

  test('time constants refuse impossible parts', () => {
    expect(problemOf(timeConstant({ capacitance: 0, bleeder: 1 })).code).toBe('out-of-range');
    expect(problemOf(timeConstant({ capacitance: 1, bleeder: 0 })).code).toBe('out-of-range');
    expect(problemOf(timeConstant({ capacitance: 1, meter: -1 })).code).toBe('out-of-range');
    expect(problemOf(voltsAfter({ from: 1, seconds: -1, tau: 1 })).code).toBe('out-of-range');
    expect(problemOf(largestBleeder({ capacitance: 1, from: 1, to: 2, seconds: 1 })).code).toBe(
      'out-of-range',
    );
    expect(valueOf(largestBleeder({ capacitance: 1, from: 2, to: 2, seconds: 1 }))).toBe(Infinity);
    expect(problemOf(plugPinCheck({ mains: 0, capacitance: 1, bleeder: 1 })).code).toBe(
      'out-of-range',
    );
  });

  test('a supply whose peak is under 34 V always holds', () => {
    const check = valueOf(plugPinCheck({ mains: 24, capacitance: 1e-3, bleeder: 1e9 }));
    expect(check).toMatchObject({ holds: true, largestBleeder: Infinity });
  });
});

describe('cooling', () => {
  const oven = { from: 260, ambient: 22, k: 0.05 };

  test('the rate from two readings gives the third back', () => {
    const then = valueOf(temperatureAfter({ ...oven, minutes: 7 }));
    const k = valueOf(coolingRate({ first: 260, then, ambient: 22, minutes: 7 }));
    expect(k).toBeCloseTo(0.05, 12);
    const minutes = valueOf(coolingMinutes({ ...oven, to: 51, k }));
    expect(valueOf(temperatureAfter({ ...oven, minutes }))).toBeCloseTo(51, 9);
  });

  test('below the room it never gets, and already cool takes no time', () => {
    expect(problemOf(coolingMinutes({ ...oven, to: 22 })).code).toBe('never-reached');
    expect(problemOf(coolingMinutes({ ...oven, to: 10 })).says).toContain('never cools to 10');
    expect(valueOf(coolingMinutes({ ...oven, from: 40, to: 51 }))).toBe(0);
  });

  test('two readings that do not cool give no rate', () => {
    for (const [first, then] of [
      [100, 100],
      [100, 120],
      [100, 22],
      [100, 20],
    ] as const) {
      expect(problemOf(coolingRate({ first, then, ambient: 22, minutes: 5 })).code).toBe(
        'not-cooling',
      );
    }
    expect(problemOf(coolingRate({ first: 100, then: 90, ambient: 22, minutes: 0 })).code).toBe(
      'out-of-range',
    );
    expect(problemOf(coolingMinutes({ ...oven, to: 51, k: 0 })).code).toBe('out-of-range');
    expect(problemOf(temperatureAfter({ ...oven, minutes: -1 })).code).toBe('out-of-range');
  });

  test('a longer contact never has a higher burn threshold', () => {
    const minutes = [0.1, 1, 1.01, 5, 10, 10.01, 100, 480, 1000];
    const thresholds = minutes.map((each) => valueOf(burnThreshold(each)));
    expect(thresholds).toEqual([...thresholds].sort((a, b) => b - a));
    expect(thresholds.at(-1)).toBe(43);
    expect(problemOf(burnThreshold(0)).code).toBe('out-of-range');
  });
});
