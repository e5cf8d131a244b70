import { describe, expect, test } from 'vitest';
import {
  judgePairs,
  judgeReading,
  type ReadingInput,
} from '../../../../src/lib/core/measure/verdict.ts';

const meter = { percent: '0.9', counts: 3 };
const judge = (input: Partial<ReadingInput>) =>
  judgeReading({ value: '1', unit: 'ohm', accept: { most: '1 ohm' }, ...input });

describe('a reading against a limit', () => {
  test('1.02 ohm against at most 1 ohm with ±(0.9 % + 3) cannot be told, and says why', () => {
    const verdict = judge({
      value: '1.02',
      instrument: meter,
      resolution: '0.01 ohm',
      origin: 'maker',
    });
    expect(verdict).toMatchObject({
      verdict: 'cannotTell',
      code: 'straddles',
      origin: 'maker',
      most: 1,
    });
    expect(verdict.low).toBeCloseTo(0.98082, 9);
    expect(verdict.high).toBeCloseTo(1.05918, 9);
    expect(verdict.probability).toBeGreaterThan(0.1);
    expect(verdict.probability).toBeLessThan(0.3);
    expect(verdict.says).toContain('Cannot tell');
    expect(verdict.says).toContain('0.9808 to 1.059 ohm');
    expect(verdict.says).toContain('at most 1 ohm, from maker');
  });

  test('clear readings pass and fail', () => {
    expect(judge({ value: '0.32', instrument: meter })).toMatchObject({
      verdict: 'pass',
      code: 'inside',
    });
    expect(judge({ value: '4.70', instrument: meter })).toMatchObject({
      verdict: 'fail',
      code: 'outside',
    });
  });

  test('the resolution given counts before the digits written', () => {
    const input = { value: '0.98', instrument: meter };
    expect(judge({ ...input, resolution: 0.001 }).verdict).toBe('pass');
    expect(judge({ ...input, resolution: '1 mohm' }).verdict).toBe('pass');
    expect(judge(input).verdict).toBe('cannotTell');
    expect(judge(input).says).toContain('as the display shows it');
    expect(judge({ ...input, resolution: 0.01 }).says).not.toContain('as the display shows it');
  });

  test('without an accuracy the figure is judged as it stands, and that is said', () => {
    const verdict = judge({ value: '1' });
    expect(verdict.verdict).toBe('pass');
    expect(verdict.says).toContain('accuracy is not on its card');
  });

  test('the leads are taken off', () => {
    const verdict = judge({ value: '1.10', lead: '0.3 ohm', instrument: meter, resolution: 0.01 });
    expect(verdict.verdict).toBe('pass');
    expect(verdict.net).toBeCloseTo(0.8, 12);
    expect(verdict.low).toBeCloseTo(0.8 - 0.0399, 12);
    expect(verdict.says).toContain('after 0.3 ohm of lead');
    expect(judge({ value: '0.2', lead: '1.5 ohm', instrument: meter })).toMatchObject({
      verdict: 'unusable',
      code: 'lead-too-high',
    });
    expect(judge({ value: '0.2', lead: '0.21 ohm', instrument: meter }).verdict).toBe('pass');
    expect(
      judgeReading({ value: '30', unit: 'V', accept: { most: '40 V' }, lead: '0.2 ohm' }).code,
    ).toBe('lead-not-ohms');
  });

  test('the unit of the reading may differ from that of the limit', () => {
    const verdict = judge({ value: '980', unit: 'mohm' });
    expect(verdict).toMatchObject({ verdict: 'pass', most: 1000, unit: 'mohm' });
  });

  test('both bounds are inside', () => {
    const accept = { least: '0.9 ohm', most: '1 ohm' };
    expect(judge({ value: '0.9', accept }).verdict).toBe('pass');
    expect(judge({ value: '1.0', accept }).verdict).toBe('pass');
    expect(judge({ value: '1.01', accept }).verdict).toBe('fail');
  });

  // "< 50 V" is strict: 50 V itself is not below (29 CFR 1910.333(a)(1)).
  test('below and above leave the bound outside', () => {
    const at = (value: string) =>
      judgeReading({ value, unit: 'V', accept: { below: '50 V' } }).verdict;
    expect(at('49.9')).toBe('pass');
    expect(at('50')).toBe('fail');
  });

  test('at least 0 ohm loses nothing below zero', () => {
    const verdict = judge({
      value: '0.02',
      accept: { least: '0 ohm', most: '1 ohm' },
      instrument: meter,
      resolution: 0.01,
    });
    expect(verdict).toMatchObject({ verdict: 'pass', low: 0 });
    expect(verdict.probability).toBeGreaterThan(0.999);
  });

  test('volts are judged by their size', () => {
    const at = (value: string) =>
      judgeReading({ value, unit: 'V', accept: { below: '2 V' } }).verdict;
    expect(at('-30')).toBe('fail');
    expect(at('-0.4')).toBe('pass');
  });

  test('the band of a heating element is computed from its plate', () => {
    const accept = { element: { volts: '240 V', watts: '5500 W' } };
    const at = (value: string) => judge({ value, accept });
    expect(at('10.5').verdict).toBe('pass');
    expect(at('6').verdict).toBe('fail');
    expect(at('OL').verdict).toBe('fail');
    expect(at('10.5').least).toBeCloseTo(9.974, 3);
    expect(at('10.5').most).toBeCloseTo(11.636, 3);
  });
});

describe('words instead of a number', () => {
  const open = { open: true } as const;
  test.each(['OL', 'ol', '0L', 'O.L', '0.L', 'OF'])('%s is overload', (value) => {
    expect(judge({ value, accept: open })).toMatchObject({ verdict: 'pass', code: 'overload' });
    expect(judge({ value })).toMatchObject({ verdict: 'fail', code: 'overload' });
  });

  test('OL is no insulation reading unless the range reaches the limit', () => {
    const accept = { least: '1 Mohm' };
    const at = (range?: string) =>
      judge({ value: 'OL', quantity: 'insulation', accept, range }).verdict;
    expect(at()).toBe('cannotTell');
    expect(at('400 ohm')).toBe('cannotTell');
    expect(at('200 Mohm')).toBe('pass');
  });

  test('OL on a low range is not open', () => {
    expect(judge({ value: 'OL', accept: open, range: '400 ohm' }).verdict).toBe('cannotTell');
    expect(judge({ value: 'OL', accept: open, range: '40 Mohm' }).verdict).toBe('pass');
    expect(judge({ value: 'OL', accept: { most: '1 kohm' }, range: '400 ohm' }).verdict).toBe(
      'cannotTell',
    );
  });

  test('a tester that shows more than its range says so', () => {
    const accept = { least: '1 Mohm' };
    expect(judge({ value: '>200', unit: 'Mohm', accept }).verdict).toBe('pass');
    expect(judge({ value: '> 200', unit: 'kohm', accept }).verdict).toBe('cannotTell');
  });

  test('more than 1 Mohm is open too', () => {
    expect(judge({ value: '1.5', unit: 'Mohm', accept: open }).verdict).toBe('pass');
    expect(judge({ value: '1', unit: 'Mohm', accept: open }).verdict).toBe('fail');
  });

  test('unstable alone cannot be told; with its ends it is an interval', () => {
    expect(judge({ value: 'unstable' })).toMatchObject({ verdict: 'cannotTell', code: 'unstable' });
    expect(judge({ value: 'unstable 0.2-0.6' }).verdict).toBe('pass');
    expect(judge({ value: 'unstable 0.6 to 0.2' }).verdict).toBe('pass');
    expect(judge({ value: 'unstable 0.2-4' })).toMatchObject({
      verdict: 'cannotTell',
      code: 'unstable',
    });
    expect(judge({ value: 'unstable 3-9' }).verdict).toBe('fail');
  });

  test('not taken needs a reason', () => {
    expect(judge({ value: 'not taken' })).toMatchObject({
      verdict: 'unusable',
      code: 'why-missing',
    });
    const given = judge({ value: 'not taken', why: 'No sheet for this model.' });
    expect(given).toMatchObject({
      verdict: 'notTaken',
      says: 'Not taken: No sheet for this model.',
    });
  });
});

describe('bad input', () => {
  test.each([
    [{ value: '' }, 'empty', 'OL, unstable, or not taken'],
    [{ value: '5', unit: '' }, 'no-unit', 'choose it first: ohm'],
    [{ value: '5', unit: undefined }, 'no-unit', 'choose it first: ohm'],
    [{ value: '-3' }, 'negative', 'prove dead'],
    [{ value: '30', unit: 'V' }, 'wrong-dimension', 'asks for a resistance'],
    [{ value: 'OL', unit: 'V' }, 'wrong-dimension', 'a resistance'],
    [{ value: Infinity }, 'not-finite', 'enter OL'],
    [{ value: '-Infinity' }, 'not-finite', 'enter OL'],
    [{ value: '∞' }, 'not-finite', 'enter OL'],
    [{ value: NaN }, 'not-finite', 'not a reading'],
    [{ value: 'about 3' }, 'no-number', 'start with a number'],
    [{ value: '1.2.3' }, 'no-number', 'more than one'],
    [{ value: '1,02' }, 'comma', 'with a point'],
    [{ unit: 'ohn' }, 'unknown-unit', 'mean ohm'],
    [{ accept: {} }, 'no-limit', 'No limit'],
    [{ accept: { least: '2 ohm', most: '1 ohm' } }, 'limits-crossed', 'exclude each other'],
    [{ accept: { least: '2 ohm', most: '1 V' } }, 'limit-mixed', 'one kind'],
    [{ accept: { most: '1 zorg' } }, 'unknown-unit', 'The limit'],
    [{ accept: { element: { volts: '0 V', watts: '5 W' } } }, 'out-of-range', 'voltage'],
    [{ accept: { element: { volts: '240 W', watts: '5 W' } } }, 'wrong-dimension', 'a voltage'],
    [{ quantity: 'voltage', unit: 'V' }, 'limit-wrong-kind', 'limit'],
    [{ resolution: 0 }, 'bad-resolution', 'more than zero'],
    [{ resolution: '1 V' }, 'wrong-dimension', 'resolution'],
    [{ instrument: { percent: -1 } }, 'bad-accuracy', 'below zero'],
    [{ lead: '-0.2 ohm' }, 'negative', 'lead'],
  ] as const)('%j is unusable: %s', (input, code, says) => {
    const verdict = judge(input as Partial<ReadingInput>);
    expect(verdict).toMatchObject({ verdict: 'unusable', code });
    expect(verdict.says).toContain(says);
  });
});

describe('slips are asked about', () => {
  test('10 Mohm typed as 10', () => {
    const verdict = judge({ value: '10', accept: { least: '1 Mohm' }, quantity: 'insulation' });
    expect(verdict).toMatchObject({ verdict: 'fail', ask: { code: 'thousandfold', unit: 'Mohm' } });
    expect(verdict.ask?.says).toContain('10 Mohm would be inside');
  });
  test('a k lost on an element or a sensor', () => {
    const accept = { least: '0.98 kohm', most: '1.2 kohm' };
    expect(judge({ value: '1.09', accept }).ask).toMatchObject({ unit: 'kohm' });
    expect(judge({ value: '1090', unit: 'kohm', accept }).ask).toMatchObject({ unit: 'ohm' });
    expect(judge({ value: '1.09', unit: 'kohm', accept }).ask).toBeNull();
  });
  test('an m lost on a bond', () => {
    expect(judge({ value: '85', accept: { most: '0.1 ohm' } }).ask).toMatchObject({ unit: 'mohm' });
    expect(judge({ value: '0.4', accept: { most: '0.1 ohm' } }).ask).toBeNull();
  });
  test('°F entered as °C', () => {
    const verdict = judgeReading({ value: '110', unit: '°C', accept: { most: '48 °C' } });
    expect(verdict).toMatchObject({ verdict: 'fail', ask: { code: 'fahrenheit', unit: '°F' } });
    expect(judgeReading({ value: '300', unit: '°C', accept: { most: '48 °C' } }).ask).toBeNull();
  });
  test('a reading that no slip explains is not questioned', () => {
    expect(judge({ value: '4', accept: { least: '9 ohm', most: '11 ohm' } }).ask).toBeNull();
  });
});

describe('pairs', () => {
  const supply = { pairs: { 'L-N': { least: '108 V', most: '132 V' }, 'N-G': { most: '3 V' } } };
  const volts = (value: string) => ({ value, unit: 'V' });

  test('each is held to its own limit', () => {
    const good = judgePairs({ 'L-N': volts('121'), 'N-G': volts('0.4') }, supply);
    expect(good).toMatchObject({ verdict: 'pass', code: 'inside' });
    const bad = judgePairs({ 'L-N': volts('121'), 'N-G': volts('41') }, supply);
    expect(bad.verdict).toBe('fail');
    expect(bad.says).toMatch(/^N-G: /u);
    expect(bad.each['L-N']?.verdict).toBe('pass');
  });

  test('a missing pair is named; a pair said backwards is found', () => {
    const missing = judgePairs({ 'L-N': volts('121') }, supply);
    expect(missing).toMatchObject({ verdict: 'unusable', code: 'pair-missing' });
    expect(missing.says).toContain('N-G');
    expect(judgePairs({ 'N-L': volts('121'), 'G-N': volts('0.4') }, supply).verdict).toBe('pass');
  });

  test('one limit for all', () => {
    const pairs = { 'L1-N': volts('0.1'), 'L2-N': volts('0.3') };
    expect(judgePairs(pairs, { below: '2 V' }, { instrument: meter }).verdict).toBe('pass');
    expect(
      judgePairs({ ...pairs, 'L1-L2': volts('1.98') }, { below: '2 V' }, { instrument: meter })
        .verdict,
    ).toBe('cannotTell');
    expect(judgePairs({}, { below: '2 V' })).toMatchObject({
      verdict: 'unusable',
      code: 'no-pairs',
    });
  });
});
