import { describe, expect, test } from 'vitest';
import {
  bondLimit,
  insulationLimit,
  leakageLimit,
} from '../../../../src/lib/core/measure/after-repair.ts';
import { limitInForce } from '../../../../src/lib/core/measure/limits.ts';
import { problemOf } from '../../../support/outcome.ts';

describe('the limit in force', () => {
  test('code beats maker, maker beats house, house beats our default', () => {
    const all = [
      { origin: 'default', most: 5 },
      { origin: 'house', most: 4 },
      { origin: 'maker', most: 2 },
      { origin: 'code', most: 3, reference: 'NEC 460.6' },
    ] as const;
    expect(limitInForce(all).most).toEqual({ value: 3, origin: 'code', reference: 'NEC 460.6' });
    expect(limitInForce(all.slice(0, 3)).most).toEqual({ value: 2, origin: 'maker' });
    expect(limitInForce(all.slice(0, 2)).most).toEqual({ value: 4, origin: 'house' });
    expect(limitInForce(all.slice(0, 1)).most).toEqual({ value: 5, origin: 'default' });
  });

  test('a house value tightens a limit that stands', () => {
    const limit = limitInForce([
      { origin: 'code', most: 50 },
      { origin: 'house', most: 10 },
    ]);
    expect(limit).toMatchObject({ most: { value: 10, origin: 'house' }, refused: [] });
  });

  test('a looser house value is refused, and said', () => {
    const most = limitInForce([
      { origin: 'maker', most: 1 },
      { origin: 'house', most: 2 },
    ]);
    expect(most.most).toEqual({ value: 1, origin: 'maker' });
    expect(most.refused).toHaveLength(1);
    expect(most.refused[0]?.says).toContain('may only be stricter');
    const least = limitInForce([
      { origin: 'code', least: 1e6 },
      { origin: 'house', least: 0.5e6 },
    ]);
    expect(least).toMatchObject({ least: { origin: 'code' }, most: null });
    expect(least.refused[0]?.code).toBe('house-looser');
  });

  test('the same value twice is no refusal, and no limit is none', () => {
    const same = [
      { origin: 'code', most: 50 },
      { origin: 'house', most: 50 },
    ] as const;
    expect(limitInForce(same)).toMatchObject({ most: { origin: 'code' }, refused: [] });
    expect(limitInForce([])).toEqual({ least: null, most: null, refused: [] });
  });

  test('each side has its own origin', () => {
    const limit = limitInForce([
      { origin: 'maker', least: 9, most: 12 },
      { origin: 'house', most: 11 },
    ]);
    expect(limit.least?.origin).toBe('maker');
    expect(limit.most?.origin).toBe('house');
  });
});

describe('limits after a repair', () => {
  test('name their publication', () => {
    expect(bondLimit('en50678', 5, 1.5)).toMatchObject({
      value: { source: 'EN 50678 (VDE 0701)' },
    });
    expect(leakageLimit({ rule: 'iec60335', protection: 'II' })).toMatchObject({
      value: { source: 'IEC 60335-1, 13.2' },
    });
  });

  test('refuse what they do not know', () => {
    expect(problemOf(bondLimit('un1' as 'uk', 1, 1)).code).toBe('unknown-rule');
    expect(problemOf(bondLimit('uk', -1, 1)).code).toBe('out-of-range');
    expect(problemOf(bondLimit('uk', 1, 0)).code).toBe('out-of-range');
    expect(problemOf(insulationLimit('iec60335', 'I')).code).toBe('no-limit');
    expect(problemOf(insulationLimit('uk', 'IV' as 'I')).code).toBe('unknown-class');
    expect(problemOf(insulationLimit('uk', 'I', -1)).code).toBe('out-of-range');
    expect(problemOf(leakageLimit({ rule: 'uk', protection: 'IV' as 'I' })).code).toBe(
      'unknown-class',
    );
    expect(problemOf(leakageLimit({ rule: 'un1' as 'uk', protection: 'I' })).code).toBe(
      'unknown-rule',
    );
    expect(problemOf(leakageLimit({ rule: 'uk', protection: 'I', heatingWatts: NaN })).code).toBe(
      'not-a-number',
    );
  });
});
