import { describe, expect, test } from 'vitest';
import { parseCommand } from '../../../../src/lib/core/job/parse-command.ts';
import { judgeReading } from '../../../../src/lib/core/measure/verdict.ts';
import type { MeterRange } from '../../../../src/lib/core/measure/meter-ranges.ts';

// Half widths worked by hand from ±(% of reading + counts), the form of IEC 61557 data sheets and of
// JCGM 106 guard bands; the figures of the ranges are our own.
const fine: MeterRange = { upTo: '60 ohm', one: '0.01 ohm', percent: '0.9', counts: 3 };
const coarse: MeterRange = { upTo: '600 ohm', one: '0.1 ohm', percent: '0.5', counts: 2 };
const card = { percent: '9', counts: 9, ranges: [coarse, fine] };
const judge = (value: string, unit = 'ohm', instrument: object = card) =>
  judgeReading({ value, unit, accept: { most: '1 ohm' }, instrument });

describe('accuracy by range', () => {
  test('1.02 ohm against at most 1 ohm with ±(0.9 % + 3) cannot tell', () => {
    const verdict = judge('1.02');
    expect(verdict.verdict).toBe('cannotTell');
    // 0.9 % of 1.02 is 0.00918, three counts of 0.01 are 0.03.
    expect(verdict.low).toBeCloseTo(1.02 - 0.03918, 10);
    expect(verdict.high).toBeCloseTo(1.02 + 0.03918, 10);
  });

  test('the smallest range that reaches the reading counts, in any unit', () => {
    expect(judge('100.0').high).toBeCloseTo(100 + 0.5 + 0.2, 10);
    expect(judge('1020', 'mohm').high).toBeCloseTo(1020 + 9.18 + 30, 9);
  });

  test('a figure coarser than the range was read on a coarser one', () => {
    expect(judge('1.1').high).toBeCloseTo(1.1 + 0.0099 + 0.3, 10);
  });

  test('beyond every range the card as a whole counts', () => {
    expect(judge('700').high).toBeCloseTo(700 + 63 + 9, 10);
  });

  test('a range that makes no sense is said, not used', () => {
    const odd = { ...fine, one: '0.01 V' };
    expect(judge('1.02', 'ohm', { ranges: [odd] })).toMatchObject({
      verdict: 'unusable',
      code: 'bad-accuracy',
    });
  });
});

describe('a meter card in an order', () => {
  const order = (ranges: unknown) =>
    parseCommand({
      at: '2026-11-25T15:40:00-05:00',
      mono: 0,
      boot: 'b1',
      by: 'ana',
      command: 'open',
      site: 'Yard 3',
      people: [{ id: 'ana', competence: [] }],
      instruments: [{ id: 'm1', category: 'CAT III', volts: '600', due: '2027-01-01', ranges }],
    });

  test('keeps its ranges', () => {
    expect(order([fine])).toMatchObject({ command: { instruments: [{ ranges: [fine] }] } });
  });

  test.each([
    ['a top without a unit', { ...fine, upTo: '60' }],
    ['a count above the top', { ...fine, one: '100 ohm' }],
    ['negative counts', { ...fine, counts: -1 }],
    ['an unknown key', { ...fine, colour: 'red' }],
  ])('refuses %s', (_, range) => {
    const read = order([range]);
    expect(read.ok).toBe(false);
    if (!read.ok) expect(read.says).toContain('ranges[0]');
  });
});
