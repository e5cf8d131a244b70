import { describe, expect, test } from 'vitest';
import { scaleOf, type Scale, type ScaleInput } from '../../../../src/lib/core/measure/scale.ts';

const none: ScaleInput = { net: null, low: null, high: null, least: null, most: null };

function drawn(input: Partial<ScaleInput>): Scale {
  const scale = scaleOf({ ...none, ...input });
  if (scale === null) throw new Error('Nothing was drawn.');
  return scale;
}

describe('the scale of a reading', () => {
  test('1.02 ohm against at most 1 ohm: the limit lies inside the band', () => {
    const scale = drawn({ net: 1.02, low: 0.981, high: 1.059, most: 1 });
    expect(scale.logarithmic).toBe(false);
    expect(scale.from).toBeGreaterThan(0.9);
    expect(scale.accepted?.from).toBe(0);
    const limit = scale.accepted?.to ?? NaN;
    expect(scale.band?.from).toBeLessThan(limit);
    expect(scale.band?.to).toBeGreaterThan(limit);
    expect(scale.net).toBeGreaterThan(limit);
    expect(scale.beyond).toBe(false);
  });

  test('insulation of 200 Mohm against 1 Mohm is drawn in decades', () => {
    const scale = drawn({ net: 200e6, low: 190e6, high: 210e6, least: 1e6 });
    expect(scale.logarithmic).toBe(true);
    expect(scale.accepted?.to).toBe(1);
    for (const { value } of scale.ticks) expect(Math.log10(value) % 1).toBe(0);
    expect(scale.ticks.length).toBeGreaterThanOrEqual(3);
  });

  test('overload runs off the right end', () => {
    const scale = drawn({ low: 40e6, least: 1e6 });
    expect(scale).toMatchObject({ beyond: true, net: null });
    expect(scale.band?.to).toBe(1);
  });

  test('an overload without a range is all unknown', () => {
    expect(drawn({ least: 1e6 })).toMatchObject({ beyond: true, band: null });
  });

  test('an element band stands away from zero when the figures are close', () => {
    const scale = drawn({ net: 10.5, low: 10.4, high: 10.6, least: 9.97, most: 11.64 });
    expect(scale.from).toBeGreaterThan(5);
    const { accepted, net } = scale;
    expect(accepted?.from).toBeLessThan(net ?? 0);
    expect(accepted?.to).toBeGreaterThan(net ?? 1);
  });

  test('temperatures below zero are drawn too', () => {
    const scale = drawn({ net: -18, low: -19, high: -17, most: -10 });
    expect(scale.from).toBeLessThan(-19);
    expect(scale.net).toBeGreaterThan(0);
  });

  test('a single zero still has room, and nothing at all is null', () => {
    const scale = drawn({ net: 0, low: 0, high: 0 });
    expect(scale.to).toBeGreaterThan(0);
    expect(scale.net).toBe(0);
    expect(scaleOf(none)).toBeNull();
  });
});
