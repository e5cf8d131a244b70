import { unit as mathUnit } from 'mathjs';
import { describe, expect, test } from 'vitest';
import { siOf } from '../../../../src/lib/core/measure/quantity.ts';
import {
  dimensions,
  findUnit,
  suggestUnit,
  symbolsOf,
  unitTimes,
  type Dimension,
} from '../../../../src/lib/core/measure/units.ts';

/** Our symbol, and what mathjs calls it and its SI unit. The factors come from that library alone. */
const elsewhere: readonly (readonly [string, string, string])[] = [
  ['mV', 'mV', 'V'],
  ['kV', 'kV', 'V'],
  ['uA', 'uA', 'A'],
  ['mohm', 'mohm', 'ohm'],
  ['kohm', 'kohm', 'ohm'],
  ['Mohm', 'Mohm', 'ohm'],
  ['Gohm', 'Gohm', 'ohm'],
  ['mS', 'mS', 'S'],
  ['pF', 'pF', 'F'],
  ['nF', 'nF', 'F'],
  ['uF', 'uF', 'F'],
  ['mF', 'mF', 'F'],
  ['mH', 'mH', 'H'],
  ['uC', 'uC', 'C'],
  ['kW', 'kW', 'W'],
  ['MW', 'MW', 'W'],
  ['kJ', 'kJ', 'J'],
  ['Wh', 'Wh', 'J'],
  ['kWh', 'kWh', 'J'],
  ['kHz', 'kHz', 'Hz'],
  ['ms', 'ms', 's'],
  ['min', 'minute', 's'],
  ['h', 'hour', 's'],
  ['d', 'day', 's'],
  ['mm', 'mm', 'm'],
  ['cm', 'cm', 'm'],
  ['km', 'km', 'm'],
  ['in', 'inch', 'm'],
  ['ft', 'foot', 'm'],
  ['mm2', 'mm^2', 'm^2'],
  ['cm2', 'cm^2', 'm^2'],
  ['L', 'L', 'm^3'],
  ['mL', 'mL', 'm^3'],
  ['gal', 'gallon', 'm^3'],
  ['g', 'g', 'kg'],
  ['mg', 'mg', 'kg'],
  ['t', 'tonne', 'kg'],
  ['lb', 'lbm', 'kg'],
  ['oz', 'oz', 'kg'],
  ['lbf', 'lbf', 'N'],
  ['lbf·ft', 'lbf foot', 'N m'],
  ['lbf·in', 'lbf inch', 'N m'],
  ['psi', 'psi', 'Pa'],
  ['bar', 'bar', 'Pa'],
  ['mbar', 'mbar', 'Pa'],
  ['kPa', 'kPa', 'Pa'],
  ['1/min', 'minute^-1', 's^-1'],
  ['1/h', 'hour^-1', 's^-1'],
  ['mW/cm2', 'mW/cm^2', 'W/m^2'],
  ['°F', 'degF', 'degC'],
  ['K', 'kelvin', 'degC'],
];

describe('units', () => {
  test.each(elsewhere)('%s agrees with mathjs', (symbol, theirs, si) => {
    for (const value of [1, 0.37, 212.5, 4096]) {
      const expected = mathUnit(value, theirs).toNumber(si);
      const relative = Math.abs(siOf(value, symbol) - expected) / Math.abs(expected);
      expect(relative).toBeLessThan(1e-9);
    }
  });

  test('every dimension has its SI unit among the known ones, worth one', () => {
    for (const dimension of Object.keys(dimensions) as Dimension[]) {
      const { si } = dimensions[dimension];
      expect(symbolsOf(dimension).length).toBeGreaterThan(0);
      if (si === '1') continue;
      expect(findUnit(si)).toMatchObject({ dimension, power: 0, factor: 1, offset: 0 });
    }
  });

  test('the inch of water is that of NIST SP 811 at 4 °C', () => {
    expect(siOf(1, 'inH2O')).toBeCloseTo(249.082, 9);
  });

  test('a thousandfold neighbour is found, and only among decimal units', () => {
    expect(unitTimes('ohm', 3)).toBe('kohm');
    expect(unitTimes('kohm', -3)).toBe('ohm');
    expect(unitTimes('ohm', 6)).toBe('Mohm');
    expect(unitTimes('uF', -3)).toBe('nF');
    expect(unitTimes('ft', 3)).toBeNull();
    expect(unitTimes('°C', 3)).toBeNull();
    expect(unitTimes('zorg', 3)).toBeNull();
  });

  test('suggestions never name a unit that does not exist', () => {
    for (const wrong of ['VOLT', 'Ohm', 'KHZ', 'MOHM', 'uf', 'PSI', 'Bar', 'HZ']) {
      const hint = suggestUnit(wrong) ?? '';
      expect(hint).not.toBe('');
      for (const name of hint.split(' or ')) expect(findUnit(name)).not.toBeNull();
    }
    expect(suggestUnit('MOHM')).toBe('Mohm or mohm');
  });
});
