// Published figures that the measuring room has to reproduce. The source stands beside each; what is
// "derived" is our own arithmetic on a published formula, what is "from memory" awaits the document.
import { describe, expect, test } from 'vitest';
import {
  bondLimit,
  insulationLimit,
  leakageLimit,
  microwaveLimit,
} from '../../src/lib/core/measure/after-repair.ts';
import { conductorOhms } from '../../src/lib/core/measure/conductors.ts';
import { ansiCutLevel, enCutLevel, gloveClasses } from '../../src/lib/core/measure/hands.ts';
import {
  distanceMultiplier,
  gripMultiplier,
  horizontalMultiplier,
  liftingIndex,
  liftingLimit,
  verticalMultiplier,
} from '../../src/lib/core/measure/lifting.ts';
import { siOf } from '../../src/lib/core/measure/quantity.ts';
import { accuracyBand, conformance, guardBand } from '../../src/lib/core/measure/uncertainty.ts';
import { valueOf } from '../support/outcome.ts';
import { agrees } from '../support/published.ts';

describe('tests after a repair', () => {
  const bond = (rule: 'en50678' | 'uk' | 'iec60335' | 'asnzs3760', metres: number, mm2: number) =>
    valueOf(bondLimit(rule, metres, mm2)).value;
  const mohm = (rule: 'en50678' | 'uk', protection: 'I' | 'II' | 'III', watts = 0) =>
    valueOf(insulationLimit(rule, protection, watts)).value / 1e6;
  const milliamps = (...of: Parameters<typeof leakageLimit>) =>
    valueOf(leakageLimit(...of)).value * 1000;
  agrees([
    ['EN 50678: 0.3 ohm to 5 m of 1.5 mm2', bond('en50678', 5, 1.5), 0.3, 1e-12],
    ['VDE 0701-0702: 0.1 ohm more for each further 7.5 m', bond('en50678', 12.5, 1.5), 0.4, 1e-12],
    ['VDE 0701-0702: begun, it counts', bond('en50678', 12.6, 1.5), 0.5, 1e-12],
    ['VDE 0701-0702: never over 1 ohm', bond('en50678', 100, 1.5), 1, 1e-12],
    [
      'EN 50678: a larger section is computed, not under 0.1 ohm',
      bond('en50678', 0, 2.5),
      0.1,
      1e-12,
    ],
    [
      'UK: 0.1 ohm + the cord (2 m of 1 mm2, 1/58 ohm mm2/m)',
      bond('uk', 2, 1),
      0.1 + 2 / 58,
      1e-12,
    ],
    ['IEC 60335-1 27.5, from memory: 0.1 ohm', bond('iec60335', 2, 1), 0.1, 1e-12],
    ['AS/NZS 3760: 1 ohm', bond('asnzs3760', 2, 1), 1, 1e-12],
    ['UK and EN 50678: class I 1 Mohm', mohm('uk', 'I'), 1, 0],
    ['UK and EN 50678: class II 2 Mohm', mohm('en50678', 'II'), 2, 0],
    ['UK and EN 50678: class III 0.25 Mohm', mohm('uk', 'III'), 0.25, 0],
    ['UK: class I heating from 3 kW, 0.3 Mohm', mohm('uk', 'I', 3000), 0.3, 0],
    ['UK: below 3 kW there is no relaxation', mohm('uk', 'I', 2999), 1, 0],
    ['EN 50678: at 3.5 kW there is none yet', mohm('en50678', 'I', 3500), 1, 0],
    ['EN 50678: above 3.5 kW, 0.3 Mohm', mohm('en50678', 'I', 3600), 0.3, 0],
    ['AS/NZS 3760: 1 Mohm', valueOf(insulationLimit('asnzs3760', 'I')).value, 1e6, 0],
    [
      'VDE: protective conductor 3.5 mA',
      milliamps({ rule: 'en50678', protection: 'I' }),
      3.5,
      1e-12,
    ],
    [
      'VDE: heating of 6 kW, 1 mA/kW',
      milliamps({ rule: 'en50678', protection: 'I', heatingWatts: 6000 }),
      6,
      1e-12,
    ],
    [
      'VDE: never over 10 mA',
      milliamps({ rule: 'en50678', protection: 'I', heatingWatts: 20000 }),
      10,
      1e-12,
    ],
    ['VDE: touch current 0.5 mA', milliamps({ rule: 'en50678', protection: 'II' }), 0.5, 1e-12],
    [
      'UK: handheld class I 0.75 mA',
      milliamps({ rule: 'uk', protection: 'I', use: 'handheld' }),
      0.75,
      1e-12,
    ],
    ['UK: other class I 3.5 mA', milliamps({ rule: 'uk', protection: 'I' }), 3.5, 1e-12],
    ['UK: class II 0.25 mA', milliamps({ rule: 'uk', protection: 'II' }), 0.25, 1e-12],
    [
      'IEC 60335-1 13.2: class II 0.25 mA',
      milliamps({ rule: 'iec60335', protection: 'II' }),
      0.25,
      1e-12,
    ],
    [
      'IEC 60335-1 13.2: class III 0.5 mA',
      milliamps({ rule: 'iec60335', protection: 'III' }),
      0.5,
      1e-12,
    ],
    [
      'IEC 60335-1 13.2: portable class I 0.75 mA',
      milliamps({ rule: 'iec60335', protection: 'I', use: 'portable' }),
      0.75,
      1e-12,
    ],
    [
      'IEC 60335-1 13.2: stationary motor 3.5 mA',
      milliamps({ rule: 'iec60335', protection: 'I', use: 'stationary' }),
      3.5,
      1e-12,
    ],
    [
      'IEC 60335-1 13.2: stationary heating, 0.75 mA/kW',
      milliamps({ rule: 'iec60335', protection: 'I', use: 'stationary', heatingWatts: 4000 }),
      3,
      1e-12,
    ],
    [
      'IEC 60335-1 13.2: stationary heating, at least 0.75 mA',
      milliamps({ rule: 'iec60335', protection: 'I', use: 'stationary', heatingWatts: 500 }),
      0.75,
      1e-12,
    ],
    [
      'IEC 60335-1 13.2: stationary heating, at most 5 mA',
      milliamps({ rule: 'iec60335', protection: 'I', use: 'stationary', heatingWatts: 12000 }),
      5,
      1e-12,
    ],
    [
      'AS/NZS 3760, from memory: class I 5 mA',
      milliamps({ rule: 'asnzs3760', protection: 'I' }),
      5,
      1e-12,
    ],
    [
      'AS/NZS 3760, from memory: class II 1 mA',
      milliamps({ rule: 'asnzs3760', protection: 'II' }),
      1,
      1e-12,
    ],
    [
      '21 CFR 1030.10(c): 5 mW/cm2 in service',
      microwaveLimit('inService').value,
      siOf(5, 'mW/cm2'),
      1e-12,
    ],
    [
      '21 CFR 1030.10(c): 1 mW/cm2 before purchase',
      microwaveLimit('beforePurchase').value,
      siOf(1, 'mW/cm2'),
      1e-12,
    ],
  ]);
});

describe('instruments and decision rules', () => {
  const volt120 = accuracyBand(120, { percent: 0.7, counts: 2 }, 0.1);
  const volt2 = (resolution: number) => accuracyBand(2, { percent: 0.08, counts: 2 }, resolution);
  const oil = conformance(13.6, 1.8, { least: 12.5, most: 16.3 }).inside;
  agrees([
    [
      'calibration page: 120.0 V at ±(0.7 % + 2) is at least 118.96 V',
      120 - volt120,
      118.96,
      0.001,
    ],
    ['calibration page: 120.0 V at ±(0.7 % + 2) is at most 121.04 V', 120 + volt120, 121.04, 0.001],
    [
      'calibration page: 2.000 V at ±(0.08 % + 2), 1 mV, is at least 1.9964 V',
      2 - volt2(0.001),
      1.9964,
      1e-9,
    ],
    ['derived: with 0.1 mV the same meter leaves ±1.8 mV', volt2(0.0001), 0.0018, 1e-9],
    [
      'calibration page: 100.0 V at ±(1 % + 2) is 98.8 to 101.2 V',
      accuracyBand(100, { percent: 1, counts: 2 }, 0.1),
      1.2,
      0.001,
    ],
    [
      'JCGM 106 diode example, from memory: 0.92',
      conformance(-5.47, 0.05, { most: -5.4 }).inside,
      0.91924,
      1e-5,
    ],
    [
      'JCGM 106 container example, from memory: 0.99',
      conformance(509.7, 8.6, { least: 490 }).inside,
      0.98901,
      1e-5,
    ],
    ['JCGM 106 oil example, from memory: 0.66', oil, 0.66263, 1e-5],
    [
      'suncal test_risk: N(10, 0.4) outside 9 to 11, 0.01242',
      conformance(10, 0.4, { least: 9, most: 11 }).outside,
      0.01242,
      1e-5,
    ],
    ['ILAC-G8: guard band 0.83 U, under 5 %', guardBand(1, 0.83).worstRisk, 0.04846, 1e-5],
    ['ILAC-G8: guard band 1 U, under 2.5 %', guardBand(1, 1).worstRisk, 0.02275, 1e-5],
    ['ILAC-G8: guard band 1.5 U, under 0.16 %', guardBand(1, 1.5).worstRisk, 0.00135, 1e-5],
    ['ILAC-G8: guard band 3 U, under 1 in a million', guardBand(1, 3).worstRisk / 9.9e-10, 1, 0.01],
  ]);
});

describe('conductors', () => {
  const kilofoot = siOf(1000, 'ft');
  const at = (awg: number, celsius: number, strand: 'solid' | 'stranded' = 'stranded') =>
    valueOf(conductorOhms({ awg, metal: 'copper', strand, celsius, metres: kilofoot }));
  agrees([
    ['NEC Table 8: 12 AWG stranded copper has 1.98 ohm/kft at 75 °C', at(12, 75), 1.98, 1e-9],
    ['NEC Table 8 at 20 °C, derived: 1.628 ohm/kft', at(12, 20), 1.628, 0.0005],
    ['voltage-drop page: 20 °C is 0.8223 of 75 °C', at(12, 20) / at(12, 75), 0.8223, 5e-5],
    ['NEC Table 8 trap: 10 AWG solid is 1.21 ohm/kft at 75 °C', at(10, 75, 'solid'), 1.21, 1e-9],
    ['NEC Table 8 trap: and 0.995 ohm/kft at 20 °C', at(10, 20, 'solid'), 0.995, 0.0005],
    [
      'NEC Table 8: 6 AWG stranded aluminium has 0.808 ohm/kft at 75 °C',
      valueOf(conductorOhms({ awg: 6, metal: 'aluminium', celsius: 75, metres: kilofoot })),
      0.808,
      1e-9,
    ],
  ]);
});

describe('hands and lifting', () => {
  test.each([
    ['00', 500, 750],
    ['0', 1000, 1500],
    ['1', 7500, 11250],
    ['2', 17000, 25500],
    ['3', 26500, 39750],
    ['4', 36000, 54000],
  ])('29 CFR 1910.137 Table I-4, ASTM D120: class %s, %d V AC, %d V DC', (name, ac, dc) => {
    expect(gloveClasses[name]).toEqual({ ac, dc });
  });

  test.each([
    [199, null],
    [200, 'A1'],
    [500, 'A2'],
    [1000, 'A3'],
    [1499, 'A3'],
    [1500, 'A4'],
    [2200, 'A5'],
    [3000, 'A6'],
    [4000, 'A7'],
    [5000, 'A8'],
    [6000, 'A9'],
  ])('ANSI/ISEA 105-2016: %d g is %s', (grams, level) => {
    expect(valueOf(ansiCutLevel(grams))).toBe(level);
  });

  test.each([
    [1.9, null],
    [2, 'A'],
    [5, 'B'],
    [10, 'C'],
    [14.9, 'C'],
    [15, 'D'],
    [22, 'E'],
    [30, 'F'],
  ])('EN 388:2016: %d N is %s', (newtons, letter) => {
    expect(valueOf(enCutLevel(newtons))).toBe(letter);
  });

  const limit = (h: number, v: number, d: number, f: number, c: number) =>
    valueOf(liftingLimit({ h, v, d, a: 1, f, c }, 'lb')).exact;
  const example4 = valueOf(liftingLimit({ h: 1, v: 0.94, d: 0.87, a: 1, f: 0.88, c: 0.95 }, 'lb'));
  agrees([
    ['NIOSH 94-110 example 4, origin: 34.9 lb', example4.limit, 34.9, 1e-9],
    ['NIOSH 94-110 example 4, unrounded: 34.868 lb', example4.exact, 34.868, 0.0005],
    [
      'NIOSH 94-110 example 1, from memory, origin: 16.3 lb',
      limit(0.44, 0.89, 0.86, 1, 0.95),
      16.317,
      0.0005,
    ],
    [
      'NIOSH 94-110 example 1, from memory, destination: 14.5 lb',
      limit(0.44, 0.75, 0.86, 1, 1),
      14.474,
      0.0005,
    ],
    ['NIOSH 94-110 example 1, from memory: lifting index 2.7', liftingIndex(44, 16.317), 2.7, 1e-9],
    ['NIOSH 94-110 example 1, from memory: lifting index 3.0', liftingIndex(44, 14.474), 3, 1e-9],
    [
      'NIOSH 94-110: load constant 23 kg',
      valueOf(liftingLimit({ h: 1, v: 1, d: 1, a: 1, f: 1, c: 1 }, 'kg')).limit,
      23,
      0,
    ],
    ['NIOSH 94-110: HM is 25/H in cm', valueOf(horizontalMultiplier(50)), 0.51, 0.011],
    ['NIOSH 94-110: VM is 1 − 0.003·|V − 75| in cm', valueOf(verticalMultiplier(0)), 0.78, 0.011],
    ['NIOSH 94-110: DM is 0.82 + 4.5/D in cm', valueOf(distanceMultiplier(100)), 0.87, 0.011],
    ['NIOSH 94-110: fair grip, low, 0.95', gripMultiplier('fair', 40), 0.95, 0],
    ['NIOSH 94-110: fair grip, high, 1', gripMultiplier('fair', 100), 1, 0],
    ['NIOSH 94-110: poor grip, 0.90', gripMultiplier('poor', 100), 0.9, 0],
  ]);
});
