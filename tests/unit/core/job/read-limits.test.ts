/** What a command may hold, up to its last character, member and level. */
import { describe, expect, test } from 'vitest';
import { parseCommand } from '#lib/core/job/parse-command.ts';

const stamp = { at: '2026-11-25T10:42:07-05:00', mono: 1200, by: 'mara', boot: 'boot' };
const read = (more: object) => parseCommand({ ...stamp, ...more });
const isRead = (more: object) => read(more).ok;
const result = (given: unknown) => {
  const found = read({ command: 'do', step: 'x', result: given });
  if (!found.ok) return found.says;
  return (found.command as unknown as { result: unknown }).result;
};
const edited = (to: unknown) => {
  const edits = [{ at: ['title'], to }];
  const found = read({ command: 'rebase', sha256: '1'.repeat(64), edits, why: 'x' });
  return found.ok ? (found.command as unknown as { edits: unknown }).edits : found.says;
};
const nested = (levels: number): unknown => (levels === 0 ? 'x' : [nested(levels - 1)]);

test('a text of 4000 characters, and none of 4001', () => {
  expect(isRead({ command: 'tingle', what: 'x'.repeat(4000) })).toBe(true);
  expect(isRead({ command: 'tingle', what: 'x'.repeat(4001) })).toBe(false);
});

describe('data of a newer list', () => {
  test.each([true, false, 0, 7, 'words', ['a', 1], { a: { b: [true] } }, nested(10)])(
    '%j is kept as it is',
    (to) => {
      expect(edited(to)).toStrictEqual([{ at: ['title'], to }]);
    },
  );

  test('a part that is gone stands for itself', () => {
    const edits = [{ at: ['title'] }];
    const found = read({ command: 'rebase', sha256: '1'.repeat(64), edits, why: 'x' });
    expect(found).toMatchObject({ ok: true });
    expect((found as unknown as { command: { edits: object[] } }).command.edits).toStrictEqual(
      edits,
    );
  });

  test.each([[0.5], [null], [nested(11)], ['\ud800'], [{ a: undefined }]])(
    '%j is said to be wrong',
    (to) => {
      expect(typeof edited(to)).toBe('string');
    },
  );

  test('has a place of one name to twelve', () => {
    const at = (names: number) =>
      isRead({
        command: 'rebase',
        sha256: '1'.repeat(64),
        edits: [{ at: Array.from({ length: names }, () => 'a'), to: 1 }],
        why: 'x',
      });
    expect([0, 1, 12, 13].map(at)).toEqual([false, true, true, false]);
  });
});

describe('a list', () => {
  const people = (given: unknown) =>
    isRead({ command: 'do', step: 'x', result: { people: given } });
  test('of a thousand, and none of a thousand and one', () => {
    expect(people(Array.from({ length: 1000 }, (_, at) => `p${at}`))).toBe(true);
    expect(people(Array.from({ length: 1001 }, (_, at) => `p${at}`))).toBe(false);
  });

  test('that is nothing is empty', () => {
    expect(result({ people: null })).toEqual({ people: [] });
  });
});

describe('numbers', () => {
  test('count from nothing on, in figures or in digits', () => {
    expect(result({ tools: 0 })).toEqual({ tools: 0 });
    expect(result({ tools: '12' })).toEqual({ tools: 12 });
    expect(result({ tools: -1 })).toMatch(/cannot be negative/);
    expect(result({ tools: '1e3' })).toMatch(/whole number/);
    expect(result({ tools: true })).toMatch(/whole number/);
  });

  test('of time go from nothing to what can be counted exactly', () => {
    const mono = (ms: unknown) => isRead({ command: 'resume', mono: ms });
    expect(mono(0)).toBe(true);
    expect(mono(Number.MAX_SAFE_INTEGER)).toBe(true);
    expect(mono(Number.MAX_SAFE_INTEGER * 2)).toBe(false);
    expect(mono(Infinity)).toBe(false);
  });
});

describe('a reading', () => {
  test('is taken apart where its unit stands behind it, and left alone where not', () => {
    expect(result({ value: '27.4 ohm' })).toStrictEqual({ value: '27.4', unit: 'ohm' });
    expect(result({ value: '27.4' })).toStrictEqual({ value: '27.4' });
    expect(result({ value: '27.4 ohm', unit: 'kohm' })).toStrictEqual({
      value: '27.4 ohm',
      unit: 'kohm',
    });
    expect(result({})).toStrictEqual({});
    expect(result({ pairs: { a: '3', b: '3 V', c: { value: '3 V' } } })).toStrictEqual({
      pairs: {
        a: { value: '3', unit: '' },
        b: { value: '3', unit: 'V' },
        c: { value: '3', unit: 'V' },
      },
    });
  });

  test('has pairs with names of at most 64 whole characters', () => {
    const pair = (name: string) => result({ pairs: { [name]: '1 V' } });
    expect(pair('x'.repeat(64))).toHaveProperty('pairs');
    expect(pair('x'.repeat(65))).toMatch(/no usable name/);
    expect(pair('\ud800')).toMatch(/no usable name/);
  });
});

test('what is not said is not there, rather than there and nothing', () => {
  const join = read({ command: 'join', person: { id: 'ode', competence: [] } });
  expect(join).toStrictEqual({
    ok: true,
    command: { ...stamp, command: 'join', person: { id: 'ode', competence: [] } },
  });
  const wire = { id: 'a', label: 'b', terminal: 'c' };
  expect(result({ connectors: [wire] })).toStrictEqual({ connectors: [wire] });
  expect(result({ connectors: [{ ...wire, wire: 'red' }] })).toStrictEqual({
    connectors: [{ ...wire, wire: 'red' }],
  });
});

test('an instrument is read with all its card says, and without what it does not', () => {
  const card = { id: 'm', category: 'CAT III', volts: '600', due: '2027-01-01', percent: '0.5' };
  const opened = (more: object) => {
    const open = { command: 'open', site: 's', people: [{ id: 'mara', competence: [] }] };
    const found = read({ ...open, instruments: [{ ...card, ...more }] });
    if (!found.ok) return found.says;
    return (found.command as unknown as { instruments: object[] }).instruments[0];
  };
  expect(opened({ counts: 2 })).toStrictEqual({ ...card, counts: 2 });
  expect(opened({})).toStrictEqual({ ...card, counts: 0 });
  expect(opened({ counts: -2 })).toMatch(/cannot be negative/);
});

test('yes is yes alone, wherever it is asked for', () => {
  const open = {
    command: 'open',
    site: 's',
    people: [{ id: 'mara', competence: [] }],
    instruments: [],
  };
  const demo = (more: object) => {
    const found = read({ ...open, ...more });
    return found.ok ? (found.command as unknown as { demo?: boolean }).demo : found.says;
  };
  expect(demo({ demo: true })).toBe(true);
  expect(demo({ demo: false })).not.toBe(true);
  expect(demo({})).not.toBe(true);
  const left = (insulated: unknown) => {
    const park = { command: 'park', as: 'usable', told: 'k', owner: 'o', until: '2026-12-02' };
    const found = read({ ...park, left: [{ end: 'a', insulated, why: 'x' }] });
    return found.ok ? (found.command as unknown as { left: object[]; as: string }) : found.says;
  };
  expect(left(true)).toMatchObject({ as: 'usable', left: [{ insulated: true }] });
  expect(left(false)).toMatchObject({ left: [{ insulated: false }] });
  const again = (value: unknown) => {
    const found = read({ command: 'endWindow', again: value });
    return found.ok ? (found.command as unknown as { again?: boolean }).again === true : found.says;
  };
  expect([true, false].map(again)).toEqual([true, false]);
});
