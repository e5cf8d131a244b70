import { describe, expect, test } from 'vitest';
import {
  contactLetter,
  contactTable,
  judgeContacts,
  type ContactsInput,
} from '../../../../src/lib/core/measure/contacts.ts';

const judge = (terminals: number, pattern: string, more: Partial<ContactsInput> = {}) => {
  const [rest = '', pressed = ''] = pattern.split('/');
  return judgeContacts({ terminals, rest, pressed, ...more });
};

const letters = ['C', 'O'] as const;
const twoLetters = letters.flatMap((a) => letters.map((b) => a + b));
const patternsOfTwo = twoLetters.flatMap((rest) => twoLetters.map((press) => `${rest}/${press}`));

/** One contact that may have failed: what it reads at rest and pressed. */
type Failure = 'sound' | 'welded' | 'burnt';
function reads(kind: 'NO' | 'NC', failure: Failure, pressed: boolean): 'C' | 'O' {
  if (failure === 'welded') return 'C';
  if (failure === 'burnt') return 'O';
  return (kind === 'NC') !== pressed ? 'C' : 'O';
}

/** What two contacts read when the actuator goes from one position to another. */
function simulate(nc: Failure, no: Failure, rest = false, pressed = true): string {
  const at = (down: boolean) => reads('NC', nc, down) + reads('NO', no, down);
  return `${at(rest)}/${at(pressed)}`;
}

describe('two terminals', () => {
  // The rows of the two-terminal table, common practice, no source.
  test.each([
    ['NO', 'O/C', 'healthy'],
    ['NO', 'C/O', 'reversed'],
    ['NO', 'C/C', 'welded'],
    ['NO', 'O/O', 'never-closes'],
    ['NC', 'O/C', 'reversed'],
    ['NC', 'C/O', 'healthy'],
    ['NC', 'C/C', 'welded'],
    ['NC', 'O/O', 'burnt-open'],
    [undefined, 'O/C', 'healthy'],
    [undefined, 'C/O', 'healthy'],
    [undefined, 'C/C', 'welded'],
    [undefined, 'O/O', 'never-closes'],
  ] as const)('a %s part that reads %s is %s', (kind, pattern, code) => {
    expect(judge(2, pattern, { kind })).toMatchObject({
      code,
      pattern,
      healthy: code === 'healthy',
    });
  });
});

describe('three terminals', () => {
  // All sixteen outcomes of COM–NC, COM–NO at rest / pressed, common practice, no source.
  const outcomes: Record<string, string> = {
    'CO/OC': 'healthy',
    'CO/CO': 'blade-still',
    'OC/OC': 'blade-on-no',
    'OC/CO': 'reversed',
    'CO/OO': 'no-open',
    'OO/OC': 'nc-open',
    'OO/OO': 'common-open',
    'CO/CC': 'nc-holds',
    'CC/OC': 'no-holds',
    'CC/CC': 'all-joined',
    'OC/OO': 'reversed-nc-dead',
    'OO/CO': 'reversed-no-dead',
    'OC/CC': 'reversed-no-welded',
    'CC/CO': 'contradictory',
    'CC/OO': 'both-break',
    'OO/CC': 'both-make',
  };

  test('all sixteen have a name, each its own', () => {
    expect(patternsOfTwo).toHaveLength(16);
    const named = Object.fromEntries(patternsOfTwo.map((each) => [each, judge(3, each).code]));
    expect(named).toEqual(outcomes);
    expect(new Set(Object.values(named)).size).toBe(16);
    expect(Object.keys(contactTable(3)).sort()).toEqual([...patternsOfTwo].sort());
  });

  test('every outcome says something and leads to an act', () => {
    for (const pattern of patternsOfTwo) {
      const { name, says, next } = judge(3, pattern);
      for (const text of [name, says, next]) expect(text.length).toBeGreaterThan(5);
    }
    expect(new Set(patternsOfTwo.map((each) => judge(3, each).says)).size).toBe(16);
  });

  test('where the labels may be wrong it says to identify the terminals first', () => {
    for (const pattern of ['OC/OO', 'OO/CO', 'OC/CC', 'CC/OO', 'OO/CC']) {
      expect(judge(3, pattern).next).toContain('Identify the terminals first');
    }
    expect(judge(3, 'OC/CO').says).toContain('not failed');
  });

  test('a simulated switch with one failed contact gets the name of its fault', () => {
    expect(judge(3, simulate('sound', 'sound')).code).toBe('healthy');
    expect(judge(3, simulate('sound', 'burnt')).code).toBe('no-open');
    expect(judge(3, simulate('burnt', 'sound')).code).toBe('nc-open');
    expect(judge(3, simulate('welded', 'sound')).code).toBe('nc-holds');
    expect(judge(3, simulate('sound', 'welded')).code).toBe('no-holds');
    expect(judge(3, simulate('burnt', 'burnt')).code).toBe('common-open');
    expect(judge(3, simulate('welded', 'welded')).code).toBe('all-joined');
    expect(judge(3, simulate('sound', 'sound', false, false)).code).toBe('blade-still');
    expect(judge(3, simulate('sound', 'sound', true, true)).code).toBe('blade-on-no');
    expect(judge(3, simulate('sound', 'sound', true, false)).code).toBe('reversed');
  });

  test('NO–NC may conduct only when both contacts are closed to common', () => {
    const open = { rest: 'O', pressed: 'O' };
    expect(judge(3, 'CO/OC', { between: open }).code).toBe('healthy');
    expect(judge(3, 'CO/OC', { between: { rest: 'C', pressed: 'O' } })).toMatchObject({
      code: 'track',
      healthy: false,
    });
    expect(judge(3, 'CO/OC', { between: { rest: 'O', pressed: 'H' } }).code).toBe('track');
    expect(judge(3, 'CO/CC', { between: { rest: 'O', pressed: 'C' } }).code).toBe('nc-holds');
    expect(judge(3, 'CO/CC', { between: open }).code).toBe('contradictory');
    expect(judge(3, 'CO/OC', { between: { rest: 'OO', pressed: 'O' } }).code).toBe('unusable');
  });
});

describe('four terminals', () => {
  const outcomes: Record<string, string> = {
    'CO/OC': 'healthy',
    'CO/CO': 'not-moving',
    'CO/CC': 'a-welded',
    'CO/OO': 'b-open',
    'OO/OC': 'a-open',
    'CC/OC': 'b-welded',
    'CC/CC': 'all-joined',
    'OO/OO': 'never-closes',
    'OC/CO': 'reversed',
    'OC/OC': 'held-pressed',
    'CC/CO': 'two-wrong',
    'OC/CC': 'two-wrong',
    'OC/OO': 'two-wrong',
    'OO/CO': 'two-wrong',
    'CC/OO': 'two-wrong',
    'OO/CC': 'two-wrong',
  };

  test('all sixteen patterns of the two pairs are named', () => {
    const named = Object.fromEntries(patternsOfTwo.map((each) => [each, judge(4, each).code]));
    expect(named).toEqual(outcomes);
  });

  test('a simulated pair gets the name of its fault', () => {
    expect(judge(4, simulate('welded', 'sound')).code).toBe('a-welded');
    expect(judge(4, simulate('sound', 'burnt')).code).toBe('b-open');
    expect(judge(4, simulate('burnt', 'sound')).code).toBe('a-open');
    expect(judge(4, simulate('sound', 'welded')).code).toBe('b-welded');
    expect(judge(4, simulate('sound', 'sound', true, true)).code).toBe('held-pressed');
  });

  test('two things wrong: identify the terminals, then replace', () => {
    for (const [pattern, code] of Object.entries(outcomes)) {
      if (code !== 'two-wrong') continue;
      expect(judge(4, pattern).next).toContain('Identify the terminals first');
      expect(judge(4, pattern).next).toContain('replace');
    }
  });

  test('any of the four cross pairs closed is an internal bridge', () => {
    const open = { rest: 'OOOO', pressed: 'OOOO' };
    expect(judge(4, 'CO/OC', { cross: open }).code).toBe('healthy');
    for (let at = 0; at < 4; at += 1) {
      const bridged = 'OOOO'.split('').with(at, 'C').join('');
      expect(judge(4, 'CO/OC', { cross: { ...open, pressed: bridged } }).code).toBe('track');
      expect(judge(4, 'CO/OC', { cross: { ...open, rest: bridged } }).code).toBe('track');
    }
    expect(judge(4, 'CO/OC', { cross: { rest: 'O', pressed: 'O' } }).code).toBe('unusable');
  });
});

describe('high resistance', () => {
  test('anywhere in a pattern it takes the name, says where, and never counts as healthy', () => {
    const three = ['C', 'O', 'H'];
    const pairs = three.flatMap((a) => three.map((b) => a + b));
    let marked = 0;
    for (const rest of pairs) {
      for (const pressed of pairs) {
        const verdict = judge(3, `${rest}/${pressed}`);
        const has = `${rest}${pressed}`.includes('H');
        if (has) marked += 1;
        expect(verdict.code === 'high-resistance').toBe(has);
        expect(verdict.code).not.toBe('unusable');
      }
    }
    expect(marked).toBe(65);
    expect(judge(3, 'HO/OC').says).toContain('COM–NC at rest');
    expect(judge(3, 'CH/OH').says).toContain('COM–NO at rest and pressed');
    expect(judge(2, 'O/H', { kind: 'NO' })).toMatchObject({
      code: 'high-resistance',
      healthy: false,
    });
    expect(judge(4, 'CO/OH').says).toContain('pair B pressed');
  });

  test('letters follow from net ohms: closed to 1 ohm, open over 1 Mohm', () => {
    expect([0, 0.2, 1].map((ohms) => contactLetter(ohms))).toEqual(['C', 'C', 'C']);
    expect([1.01, 5, 1e6].map((ohms) => contactLetter(ohms))).toEqual(['H', 'H', 'H']);
    expect([1e6 + 1, null].map((ohms) => contactLetter(ohms))).toEqual(['O', 'O']);
    expect(contactLetter(1.5, 2)).toBe('C');
    expect([NaN, -1].map((ohms) => contactLetter(ohms))).toEqual([null, null]);
  });
});

describe('what cannot be read', () => {
  test.each([
    [5, 'C/O'],
    [1, 'C/O'],
    [NaN, 'C/O'],
    [3, 'C/O'],
    [3, 'COC/OCO'],
    [3, 'CX/OC'],
    [3, '/OC'],
    [2, 'CO/OC'],
    [4, 'CO/'],
  ])('%d terminals and %s is refused with a sentence', (terminals, pattern) => {
    const verdict = judge(terminals, pattern);
    expect(verdict).toMatchObject({ code: 'unusable', healthy: false, pattern: '' });
    expect(verdict.says).toMatch(/terminals/u);
  });

  test('small letters and spaces are fine', () => {
    expect(judge(3, 'c o/o-c').code).toBe('healthy');
  });
});
