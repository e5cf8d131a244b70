import { describe, expect, test } from 'vitest';
import { isWhole, keyOf, press, type Key } from '#lib/ui/keypad/entry.svelte.ts';

const typed = (...keys: readonly Key[]) => keys.reduce(press, '');

describe('a figure is kept as the display shows it', () => {
  test.each<[readonly Key[], string]>([
    [['0', 'point', '0'], '0.0'],
    [['0'], '0'],
    [['point', '5'], '0.5'],
    [['1', 'point', 'point', '2'], '1.2'],
    [['3', 'minus'], '-3'],
    [['3', 'minus', 'minus'], '3'],
    [['1', '2', 'back'], '1'],
    [['back'], ''],
    [['1', 'OL'], 'OL'],
    [['OL', '4'], '4'],
    [['OL', 'back'], ''],
    [['unstable', 'point'], '0.'],
  ])('%j gives %j', (keys, shown) => {
    expect(typed(...keys)).toBe(shown);
  });

  test('it never grows beyond nine digits', () => {
    expect(typed(...Array.from({ length: 20 }, () => '7' as const))).toBe('777777777');
  });
});

test('only a whole figure or a word can be written down', () => {
  for (const whole of ['0', '0.0', '-3', '119.8', 'OL', 'unstable'])
    expect(isWhole(whole)).toBe(true);
  for (const part of ['', '-', '0.', '-0.', '1.2.3']) expect(isWhole(part), part).toBe(false);
});

test('a keyboard types the same, with a comma for a point', () => {
  const keys = ['1', ',', '5', '-', 'o', 'Backspace', 'x'].map((key) => keyOf({ key }));
  expect(keys).toEqual(['1', 'point', '5', 'minus', 'OL', 'back', undefined]);
});
