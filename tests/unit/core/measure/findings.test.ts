import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { loadChecklist } from '../../../../src/lib/core/checklist/load.ts';
import { diagnosisOf, type StepFound } from '../../../../src/lib/core/measure/findings.ts';

// What clears and what blames is the trade's own order of suspicion (common practice, no source).
const file = new URL('../../../../checklists/range-door-lock.yaml', import.meta.url);
const text = readFileSync(file, 'utf8');
const loaded = loadChecklist(text);
if (!loaded.ok) throw new Error(loaded.problems.map(({ says }) => says).join(' '));
const { checklist } = loaded;

type Result = NonNullable<NonNullable<StepFound['fact']>['result']>;
const done = (id: string, result: Result): StepFound => ({ id, state: 'done', fact: { result } });
const healthy = [
  done('door-switch', { rest: 'CO', pressed: 'OC' }),
  done('lock-switch', { rest: 'O', pressed: 'C' }),
  done('unlock-switch', { rest: 'C', pressed: 'O' }),
  done('motor', { verdict: 'pass' }),
  done('sensor', { verdict: 'pass' }),
  done('harness', { verdict: 'pass' }),
  done('latch-look', { option: 'free' }),
];

function standing(found: readonly StepFound[]) {
  const diagnosis = diagnosisOf(checklist, found);
  if (diagnosis === null) throw new Error('The range list has suspects.');
  return diagnosis;
}
const of = (found: readonly StepFound[], id: string) =>
  standing(found).suspects.find((each) => each.id === id);

describe('what was recorded becomes suspicion', () => {
  test('nothing read leaves every suspect, and the cheapest dead test is named', () => {
    const { remaining, next } = standing([]);
    expect(remaining).toHaveLength(Object.keys(checklist.suspects ?? {}).length);
    expect(next).toMatchObject({ live: false });
    // The verdict of the live window hangs on a choice that nobody has made yet.
    expect(next?.step).not.toBe('live-verdict');
  });

  test('contacts are named from their letters: healthy clears, burnt blames', () => {
    expect(
      of([done('door-switch', { rest: 'CO', pressed: 'OC' })], 'position-switch'),
    ).toMatchObject({ standing: 'cleared', because: ['door-switch'] });
    expect(
      of([done('door-switch', { rest: 'CO', pressed: 'OO' })], 'position-switch'),
    ).toMatchObject({ standing: 'blamed', because: ['door-switch'] });
    // Reversed labels speak of the probes, not of the part.
    expect(
      of([done('door-switch', { rest: 'OC', pressed: 'CO' })], 'position-switch'),
    ).toMatchObject({ standing: 'open' });
  });

  test('cannot tell settles nothing', () => {
    expect(of([done('harness', { verdict: 'cannotTell' })], 'wiring')?.standing).toBe('open');
    expect(of([done('harness', { verdict: 'fail' })], 'wiring')?.standing).toBe('blamed');
  });

  test('a fact that has ended says nothing any more', () => {
    const ended: StepFound = {
      id: 'harness',
      state: 'lapsed',
      fact: { ended: 'instrumentDoubt', result: { verdict: 'pass' } },
    };
    expect(of([ended], 'wiring')?.standing).toBe('open');
  });

  test('the board is held until every cheaper suspect has its verdict, and by whom', () => {
    const all = [...healthy, done('board-look', { option: 'marked' })];
    const order = (found: readonly StepFound[]) =>
      standing(found).orders.find(({ suspect }) => suspect === 'board');
    expect(order(all)).toMatchObject({ held: false, step: 'part-order' });
    for (const left of healthy) {
      const others = all.filter((each) => each !== left);
      expect(order(others), left.id).toMatchObject({ held: true, code: 'cheaper-open' });
    }
  });

  test('a list without suspects has no diagnosis', () => {
    expect(diagnosisOf({ steps: checklist.steps }, healthy)).toBeNull();
  });
});

describe('a list whose order step does not wait is refused', () => {
  const needs = 'needs: [door-switch, lock-switch, unlock-switch, motor, sensor, harness]';

  function heldBack(changed: string): readonly string[] {
    const read = loadChecklist(changed);
    expect(read.ok).toBe(false);
    if (read.ok) return [];
    const held = read.problems.filter(({ says }) => says.includes('orders Control board'));
    const line =
      changed
        .split('\n')
        .findIndex((each) => each.includes('needs: [lock-sw') || each.includes('needs: [door-sw')) +
      1;
    expect(held.map((each) => each.line)).toEqual([line]);
    return held.map(({ says }) => says);
  }

  test.each(['door-switch', 'lock-switch', 'unlock-switch', 'motor', 'sensor', 'harness'])(
    'without %s among the needs of the order step',
    (step) => {
      expect(text).toContain(needs);
      const names = needs.slice('needs: ['.length, -1).split(', ');
      const others = names.filter((each) => each !== step);
      const cut = text.replace(needs, `needs: [${others.join(', ')}]`);
      expect(heldBack(cut)).toEqual([expect.stringContaining(`“${step}”`)]);
    },
  );

  test('with a choice that may be left out, or is not always asked; the order itself holds any other', () => {
    const look = '- id: latch-look\n    phase: work\n    do: choose\n';
    expect(text).toContain(look);
    for (const more of ['optional: true', 'when: { board-look: clean }']) {
      const loose = text.replace(look, `${look}    ${more}\n`);
      expect(heldBack(loose), more).toEqual([expect.stringContaining('“latch-look”')]);
    }
  });

  test('an order step that does not exist', () => {
    const read = loadChecklist(text.replace('orderAt: part-order', 'orderAt: part-orders'));
    expect(read).toMatchObject({ ok: false });
    if (!read.ok) expect(read.problems[0]?.path).toBe('suspects.board.orderAt');
  });
});
