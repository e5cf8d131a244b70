/** The key of a state, part by part: what a later event could ask about tells two apart, and nothing else does. */
import { describe, expect, test } from 'vitest';
import { safetyKey } from '#lib/core/safety/index.ts';
import { POLISHER, connector, polisherStep } from '../../../support/polisher.ts';
import { SHOP } from '../../../support/polisher-shop.ts';
import {
  MARA,
  ODE,
  began,
  corrected,
  did,
  joined,
  lapsed,
  later,
  opened,
  other,
  parkedShut,
  restarted,
  resumed,
  sceneAfter,
  toolsDown,
  type Happening,
} from '../../../support/trace.ts';

const keyOf = (happenings: readonly Happening[], list = POLISHER, time?: 'kept' | 'told') =>
  safetyKey(sceneAfter(list, happenings, time ?? 'told'));

const note = other('program.noted', { version: '1' } as never);
const pulled = (...ids: string[]) => did('wires', { connectors: ids.map(connector) });
const start = [opened(MARA, ODE)];
const cut = [...start, did('off')];
const locked = [...cut, did('lock', { lock: 'M1' })];
const back = lapsed('reEnergized', { source: 'mains' });

describe('two states are told apart by', () => {
  test.each<[string, Happening[], Happening[]]>([
    [
      'an end that is open',
      [...start, did('cover-off'), corrected('cover-off')],
      [...start, note, note],
    ],
    [
      'a lock or a tag',
      [...cut, did('lock', { lock: '1' })],
      [...cut, did('lock', { tag: '1', measure: 'fuse out' })],
    ],
    ['a lock that is stated since its point was cut', locked, [...locked, back, did('off')]],
    [
      'a lock of one’s own and the firm’s',
      [...locked, parkedShut({ lock: 'F' }), resumed(), note],
      [...locked, parkedShut(), resumed(), did('lock', { lock: 'F' })],
    ],
    [
      'a connector that is off',
      [...start, pulled('a'), did('rewire', { connector: 'a' }), pulled('b')],
      [...start, pulled('a'), pulled('b'), note],
    ],
  ])('%s', (_, one, two) => {
    expect(keyOf(one)).not.toBe(keyOf(two));
  });

  test('the step that seated a connector', () => {
    const again = polisherStep('lower', { do: 'reseat' });
    const off = [...start, pulled('a', 'b', 'c')];
    const seated = (first: string, second: string) => {
      const both = [did(first, { connector: 'a' }), did(second, { connector: 'b' })];
      return keyOf([...off, ...both, did('lower', { connector: 'c' })], again);
    };
    expect(seated('rewire', 'lower')).not.toBe(seated('lower', 'rewire'));
  });

  test('the age of what has a shelf life, and of a cut', () => {
    const brief = polisherStep('told', { keeps: { for: '10 min' } });
    const aged = (minutes: number, first: Happening) =>
      keyOf([...start, first, later(minutes), note], brief, 'kept');
    expect(aged(3, did('told'))).not.toBe(aged(5, did('told')));
    const cutWhole = (minutes: number) =>
      keyOf([...start, did('off'), did('unplug'), later(minutes), note], brief, 'kept');
    expect(cutWhole(3)).not.toBe(cutWhole(5));
  });
});

describe('two states are one', () => {
  test.each<[string, Happening[], Happening[]]>([
    ['whoever was named first', start, [opened(ODE, MARA)]],
    [
      'whoever hung a lock first',
      [...cut, did('lock', { lock: 'M' }), did('lock', { lock: 'O' }, ODE)],
      [...cut, did('lock', { lock: 'O' }, ODE), did('lock', { lock: 'M' })],
    ],
    [
      'whichever connector came off first',
      [...start, pulled('a'), pulled('b')],
      [...start, pulled('b'), pulled('a')],
    ],
    [
      'whoever began what one person does in parts',
      [...start, began('wires', { connectors: [connector('a')] })],
      [...start, began('wires', { connectors: [connector('a')] }, ODE)],
    ],
    [
      'when tools that were down are taken up',
      [...start, toolsDown(), resumed()],
      [...start, lapsed('resumed'), note],
    ],
  ])('%s', (_, one, two) => {
    expect(keyOf(two)).toBe(keyOf(one));
  });

  test('whichever point was locked first', () => {
    const both = (first: string, second: string) =>
      keyOf([...start, did(first, { lock: 'M' }), did(second, { lock: 'M' })], SHOP);
    expect(both('gas-lock', 'lock')).toBe(both('lock', 'gas-lock'));
  });

  test('however long ago a fact was made that has ended', () => {
    const brief = polisherStep('told', { keeps: { for: '10 min' } });
    const ended = (minutes: number) =>
      keyOf([...start, did('told'), later(minutes), lapsed('joined')], brief, 'kept');
    expect(ended(5)).toBe(ended(3));
  });

  test('whenever the job began, where time is kept', () => {
    const aged = (minutes: number) =>
      keyOf(
        [...start, later(minutes), did('off'), did('unplug'), later(3), note],
        POLISHER,
        'kept',
      );
    expect(aged(1)).toBe(aged(40));
  });

  test('however long a restart took, where time is told', () => {
    const over = (minutes: number) =>
      keyOf([...start, did('off'), did('unplug'), restarted(minutes), note, note]);
    expect(over(1)).toBe(over(300));
  });

  test('whether somebody is written down twice', () => {
    const twice = [...start, joined(ODE)];
    expect(sceneAfter(POLISHER, twice).people.map(({ id }) => id)).toEqual([MARA, ODE]);
  });
});
