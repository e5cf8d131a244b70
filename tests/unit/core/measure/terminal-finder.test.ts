import { describe, expect, test } from 'vitest';
import {
  allProbes,
  closes,
  findTerminals,
  type Beep,
} from '../../../../src/lib/core/measure/terminal-finder.ts';
import { formsOf, type Form } from '../../../../src/lib/core/measure/terminal-forms.ts';

/** Beeps of a switch of this form, in the order that the finder asks for them. */
function play(form: Form, terminals: 3 | 4): Beep[] {
  const beeps: Beep[] = [];
  for (;;) {
    const { next } = findTerminals(terminals, beeps);
    if (next === null) return beeps;
    beeps.push({ probe: next, closed: closes(form, next) });
    if (beeps.length > 12) throw new Error('It asks for more beeps than there are probes.');
  }
}

const signature = (form: Form, terminals: 3 | 4) =>
  allProbes(terminals)
    .map((probe) => (closes(form, probe) ? 'C' : 'O'))
    .join('');

describe.each([
  // [terminals, probes, healthy forms, most beeps, beeps over all forms]. The last is the least that any order of
  // probes can do: found once by trying every decision tree
  [3, 6, 6, 3, 16],
  [4, 12, 36, 9, 235],
] as const)('%d terminals', (terminals, probes, forms, most, total) => {
  test(`there are ${probes} probes and ${forms} healthy forms, no two alike`, () => {
    expect(allProbes(terminals)).toHaveLength(probes);
    expect(formsOf(terminals)).toHaveLength(forms);
    const signatures = new Set(formsOf(terminals).map((form) => signature(form, terminals)));
    expect(signatures.size).toBe(forms);
  });

  test('every form is named from few beeps, and only that form', () => {
    const lengths = formsOf(terminals).map((form) => {
      const beeps = play(form, terminals);
      expect(findTerminals(terminals, beeps)).toMatchObject({ named: form, contradictory: false });
      return beeps.length;
    });
    expect(Math.max(...lengths)).toBe(most);
    expect(lengths.reduce((sum, length) => sum + length, 0)).toBe(total);
    // Fewer would not do: n beeps tell at most 2^n forms apart.
    expect(Math.max(...lengths)).toBeGreaterThanOrEqual(Math.ceil(Math.log2(forms)));
  });

  test('all beeps confirm, and one turned over no longer does', () => {
    for (const form of formsOf(terminals)) {
      const all = allProbes(terminals).map((probe) => ({ probe, closed: closes(form, probe) }));
      const found = findTerminals(terminals, all);
      expect(found).toMatchObject({ named: form, toConfirm: [], next: null });
      expect(found.says).toContain('Every pair agrees');
      for (const turned of all) {
        const other = all.map((each) =>
          each === turned ? { ...each, closed: !each.closed } : each,
        );
        expect(findTerminals(terminals, other).named).not.toEqual(form);
      }
    }
  });

  test('a dead switch is contradictory, not named', () => {
    const silent = allProbes(terminals).map((probe) => ({ probe, closed: false }));
    expect(findTerminals(terminals, silent)).toMatchObject({
      contradictory: true,
      named: null,
      next: null,
    });
  });
});

describe('the finder', () => {
  test('four terminals hold 6 NC-and-NO, 3 two-NC, 3 two-NO and 24 change-overs with a spare', () => {
    const count = (kind: Form['kind']) => formsOf(4).filter((form) => form.kind === kind).length;
    expect([count('ncAndNo'), count('twoNc'), count('twoNo'), count('changeOver')]).toEqual([
      6, 3, 3, 24,
    ]);
  });

  test('names common as the terminal that both closed pairs share', () => {
    const beeps: Beep[] = [
      { probe: { pair: [0, 1], state: 'rest' }, closed: true },
      { probe: { pair: [1, 2], state: 'pressed' }, closed: true },
    ];
    const { named, says, toConfirm } = findTerminals(3, beeps);
    expect(named?.roles).toEqual(['NC', 'COM', 'NO']);
    expect(says).toContain('1 is NC, 2 is COM, 3 is NO');
    expect(says).toContain('If the switch is healthy');
    expect(toConfirm).toHaveLength(4);
  });

  test('a probe said in the other order is the same probe, and a repeated one replaces', () => {
    const first: Beep = { probe: { pair: [1, 0], state: 'rest' }, closed: false };
    const again: Beep = { probe: { pair: [0, 1], state: 'rest' }, closed: true };
    expect(findTerminals(3, [first, again]).forms).toEqual(findTerminals(3, [again]).forms);
  });

  test.each([3, 4] as const)(
    'stays in the state of the last beep of %d when either will do',
    (count) => {
      for (const state of ['rest', 'pressed'] as const) {
        const silent: Beep[] = [{ probe: { pair: [0, 1], state }, closed: false }];
        expect(findTerminals(count, silent).next?.state).toBe(state);
      }
    },
  );

  test('asks in words, counting terminals from one', () => {
    expect(findTerminals(3, []).says).toMatch(/^Probe terminals 1 and 2 at rest/u);
  });
});
