import { describe, expect, test } from 'vitest';
import { judgeSupply, type SupplyVolts } from '../../../../src/lib/core/measure/supply.ts';

function name(l1l2: number, l1n: number, l2n: number, more: Partial<SupplyVolts> = {}) {
  return judgeSupply({ l1l2, l1n, l2n, ...more });
}

/** What the legs read when the neutral is open: 240 V divided by the loads on the two legs. */
function openNeutral(load1: number, load2: number): [number, number, number] {
  const amps = 240 / (load1 + load2);
  return [240, amps * load1, amps * load2];
}

describe('a split-phase supply', () => {
  test.each([
    ['normal', 240, 120, 120, {}],
    ['normal', 240, 120, 120, { l1g: 120, l2g: 120, ng: 0.4 }],
    ['same-leg', 0, 120, 120, {}],
    ['same-leg', 3, 121, 119, {}],
    ['leg-dead', 4, 120, 3, {}],
    ['leg-dead', 118, 120, 3, {}],
    ['leg-dead', 118, 3, 120, {}],
    ['three-phase-legs', 208, 120, 120, {}],
    ['reads-dead', 0, 0, 0, {}],
    ['reads-dead', 0.3, 0.2, 0.1, { l1g: 0.1 }],
    ['dead', 0.3, 0.2, 0.1, { l1g: 0.1, l2g: 0.2, ng: 0 }],
    ['neutral-reference-open', 0.4, 0.3, 0.2, { l1g: 120, l2g: 120, ng: 119 }],
    ['ground-open', 240, 120, 120, { l1g: 62, l2g: 58 }],
    ['ground-open', 240, 120, 120, { l1g: 0, l2g: 240, ng: 3 }],
    ['ground-live', 240, 120, 120, { l1g: 0.5, l2g: 240, ng: 120 }],
    ['neutral-resistive', 240, 120, 120, { ng: 4.5 }],
    ['neutral-resistive', 240, 129, 111, { l1g: 120, l2g: 120, ng: 9 }],
    ['neutral-resistive', 240, 128, 112, {}],
    ['supply-low', 200, 100, 100, {}],
    ['supply-high', 276, 138, 138, {}],
    ['unknown', 240, 0, 0, {}],
    ['unknown', 60, 120, 110, {}],
  ] as const)('%s: %d, %d, %d V %j', (code, l1l2, l1n, l2n, more) => {
    expect(name(l1l2, l1n, l2n, more)).toMatchObject({ code });
  });

  // Derived: 240 ohm against 60 ohm gives 192/48 V, 144 against 14.4 gives 218/22 V.
  test.each([
    [240, 60, 192, 48],
    [144, 14.4, 218, 22],
    [60, 240, 48, 192],
  ])('an open neutral divides as the loads do: %d against %d ohm', (one, other, l1n, l2n) => {
    const [l1l2, a, b] = openNeutral(one, other);
    expect(a).toBeCloseTo(l1n, 0);
    expect(b).toBeCloseTo(l2n, 0);
    expect(name(l1l2, a, b)).toMatchObject({ code: 'neutral-open', healthy: false });
  });

  test('0 V between the lines never reads as dead while one is live', () => {
    const found = name(0, 120, 120);
    expect(found.says).toContain('Every conductor is live');
    expect(found).toMatchObject({ healthy: false });
  });

  // ANSI C84.1 Range A, service: ±5 %, 114–126 V and 228–252 V.
  test('says whether a normal supply is inside Range A', () => {
    expect(name(240, 120, 120)).toMatchObject({ rangeA: true });
    expect(name(252, 126, 126)).toMatchObject({ code: 'normal', rangeA: true });
    expect(name(253, 126.5, 126.5)).toMatchObject({ code: 'normal', rangeA: false });
    expect(name(228, 114, 114)).toMatchObject({ code: 'normal', rangeA: true });
    expect(name(226, 113, 113)).toMatchObject({ code: 'normal', rangeA: false });
  });

  test('refuses figures that no meter shows', () => {
    expect(name(-1, 120, 120)).toMatchObject({ code: 'out-of-range' });
    expect(name(240, NaN, 120)).toMatchObject({ code: 'not-a-number' });
    expect(name(240, 120, 120, { ng: Infinity })).toMatchObject({ code: 'not-a-number' });
    expect(name(2400, 1200, 1200)).toMatchObject({ code: 'out-of-range' });
  });
});
