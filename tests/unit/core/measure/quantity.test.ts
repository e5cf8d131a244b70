import { describe, expect, test } from 'vitest';
import {
  asQuantity,
  expectQuantity,
  fromSi,
  parseQuantity,
  quantityOf,
  showNumber,
  withSi,
} from '../../../../src/lib/core/measure/quantity.ts';
import { problemOf } from '../../../support/outcome.ts';

function read(text: string) {
  const result = parseQuantity(text);
  if (!result.ok) throw new Error(result.problem.says);
  return result.quantity;
}

describe('a quantity', () => {
  test.each([
    ['30 V', 'V', 30, 'voltage'],
    ['470 uF', 'uF', 0.00047, 'capacitance'],
    ['470 µF', 'uF', 0.00047, 'capacitance'],
    ['470 μF', 'uF', 0.00047, 'capacitance'],
    ['48 °C', '°C', 48, 'temperature'],
    ['-5 °C', '°C', -5, 'temperature'],
    ['−5 °C', '°C', -5, 'temperature'],
    ['212 °F', '°F', 100, 'temperature'],
    ['0 K', 'K', -273.15, 'temperature'],
    ['0.5 ohm', 'ohm', 0.5, 'resistance'],
    ['4 MΩ', 'Mohm', 4e6, 'resistance'],
    ['4 M\u2126', 'Mohm', 4e6, 'resistance'],
    ['4 mΩ', 'mohm', 0.004, 'resistance'],
    ['60 min', 'min', 3600, 'time'],
    ['10ms', 'ms', 0.01, 'time'],
    ['12kV', 'kV', 12000, 'voltage'],
    ['.5 V', 'V', 0.5, 'voltage'],
    ['1e3 V', 'V', 1000, 'voltage'],
    ['3.5 ft', 'ft', 1.0668, 'length'],
    ['50 lb', 'lb', 22.6796185, 'mass'],
    ['5 mW/cm2', 'mW/cm2', 50, 'irradiance'],
    ['1.5 mm²', 'mm2', 1.5e-6, 'area'],
    ['5 %', '%', 0.05, 'ratio'],
    ['60 uC', 'uC', 60e-6, 'charge'],
    ['0.079 1/min', '1/min', 0.079 / 60, 'rate'],
  ])('%s is read', (text, unit, si, dimension) => {
    const quantity = read(text);
    expect(quantity).toMatchObject({ text, unit, dimension });
    expect(quantity.si).toBeCloseTo(si, 12);
  });

  test('keeps what was written, digit for digit', () => {
    expect(read(' 0.10 kohm ')).toMatchObject({ text: '0.10 kohm', number: '0.10', value: 0.1 });
    expect(read('120.0V')).toMatchObject({ text: '120.0V', number: '120.0' });
  });

  test('moves decimal prefixes without a binary residue', () => {
    expect(read('470 uF').si).toBe(0.00047);
    expect(read('0.1 mV').si).toBe(0.0001);
    expect(read('1.1 uA').si).toBe(0.0000011);
    expect(read('-0 V').si).toBe(0);
  });

  test.each([
    ['', 'empty', 'number and a unit'],
    ['  ', 'empty', 'number and a unit'],
    ['V', 'no-number', 'start with a number'],
    ['volts 5', 'no-number', 'start with a number'],
    ['5', 'no-unit', 'such as 5 V'],
    ['1,000 V', 'comma', '1000 or 1.5'],
    ['1,5 V', 'comma', '1000 or 1.5'],
    ["1'000 V", 'comma', '1000 or 1.5'],
    ['1 2 V', 'no-number', 'more than one number'],
    ['1.2.3 V', 'no-number', 'more than one number'],
    ['5 C', 'unknown-unit', '°C'],
    ['5 F', 'unknown-unit', 'farad'],
    ['10 Kohm', 'unknown-unit', 'kohm'],
    ['10 KV', 'unknown-unit', 'kV'],
    ['10 M', 'unknown-unit', 'Mohm'],
    ['230 VAC', 'unknown-unit', 'mean V'],
    ['5 mins', 'unknown-unit', 'mean min'],
    ['5 kohn', 'unknown-unit', 'mean kohm'],
    ['5 parsec', 'unknown-unit', 'V, ohm'],
    ['1e400 V', 'not-finite', 'too large'],
    ['-300 °C', 'below-absolute-zero', 'colder'],
    ['-500 °F', 'below-absolute-zero', 'colder'],
    [`${'9'.repeat(70)} V`, 'too-long', '64'],
  ])('“%s” is refused as %s', (text, code, says) => {
    const problem = problemOf(parseQuantity(text));
    expect(problem.code).toBe(code);
    expect(problem.says).toContain(says);
  });

  test('absolute zero itself is read on every scale', () => {
    expect(parseQuantity('-273.15 °C').ok).toBe(true);
    expect(parseQuantity('-459.67 °F').ok).toBe(true);
  });

  test('milli and mega are told apart', () => {
    expect(read('5 mohm').si).toBe(0.005);
    expect(read('5 Mohm').si).toBe(5e6);
  });

  test('number and unit may come apart', () => {
    expect(quantityOf('1.020', 'kohm')).toMatchObject({
      ok: true,
      quantity: { number: '1.020', si: 1020 },
    });
    expect(problemOf(quantityOf(Infinity, 'V')).code).toBe('not-finite');
    expect(problemOf(quantityOf(NaN, 'V')).code).toBe('not-finite');
    expect(asQuantity({ value: 5, unit: 'V' })).toMatchObject({ ok: true, quantity: { si: 5 } });
    expect(problemOf(asQuantity(null as unknown as string)).code).toBe('empty');
  });

  test('one of the wrong kind is named with what was wanted', () => {
    const problem = problemOf(expectQuantity('The bleeder', '30 V', 'resistance'));
    expect(problem.code).toBe('wrong-dimension');
    expect(problem.says).toBe(
      'The bleeder: 30 V is a voltage; this asks for a resistance (ohm, kohm, Mohm, mohm).',
    );
  });

  test('is shown with its SI value where that differs', () => {
    expect(withSi(read('120 °F'))).toBe('120 °F (48.889 °C)');
    expect(withSi(read('30 V'))).toBe('30 V');
    expect(withSi(read('50 lb'))).toBe('50 lb (22.68 kg)');
  });

  test('comes back from SI to its unit, and not to another kind', () => {
    expect(fromSi(0.00047, 'uF', 'capacitance')).toBe(470);
    expect(fromSi(100, '°F', 'temperature')).toBeCloseTo(212, 9);
    expect(fromSi(1, 'V', 'resistance')).toBeNull();
    expect(fromSi(1, 'zorg', 'voltage')).toBeNull();
  });

  test('numbers are shown short and without exponents', () => {
    expect(showNumber(0.98082, 4)).toBe('0.9808');
    expect(showNumber(1000000)).toBe('1000000');
    expect(showNumber(100)).toBe('100');
    expect(showNumber(0)).toBe('0');
    expect(showNumber(-0.00012345)).toBe('-0.00012345');
    expect(showNumber(Infinity)).toBe('OL');
  });
});
