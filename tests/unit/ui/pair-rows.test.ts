import { expect, test } from 'vitest';
import { PairRows } from '#lib/ui/forms/pair-rows.svelte.ts';

const volts = (text: string) => ({ text, unit: 'V' });
const proof = { before: true, after: true, known: '120' };

test('the sweep is the known source, each pair, the known source again', () => {
  const rows = new PairRows(['L1-L2', 'L1-G'], proof);
  expect(rows.rows.map(({ id }) => id)).toEqual(['known', 'before', 'L1-L2', 'L1-G', 'after']);
});

test('what the known source has is asked once and then offered', () => {
  expect(new PairRows(['L-N'], { ...proof, known: '' }).active).toBe('known');
  expect(new PairRows(['L-N'], proof).active).toBe('before');
});

test('each figure leads to the next empty row, and the last to none', () => {
  const rows = new PairRows(['L-N'], proof);
  const visited: string[] = [];
  while (rows.active !== '') {
    visited.push(rows.active);
    rows.write(rows.active, volts('0.0'));
    rows.advance();
  }
  expect(visited).toEqual(['before', 'L-N', 'after']);
  expect(rows.missing).toBeUndefined();
});

test('an unfinished figure does not lead on', () => {
  const rows = new PairRows(['L-N', 'L-G'], { before: false, after: false, known: '' });
  rows.write('L-N', volts('0.'));
  rows.advance();
  expect(rows.active).toBe('L-N');
});

test('a row gone back to leads to what is still empty, wherever it stands', () => {
  const rows = new PairRows(['a', 'b', 'c'], { before: false, after: false, known: '' });
  rows.active = 'c';
  rows.write('c', volts('1'));
  rows.advance();
  expect(rows.active).toBe('a');
});
