/**
 * The engine over rows of numbers does exactly what the engine does: from every state that is looked at, the
 * same moves, and each to the same state.
 */
import { describe, expect, test } from 'vitest';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState } from '#lib/core/job/state.ts';
import { boundsOf } from '#lib/core/prove/bounds.ts';
import { pack, rowOf, unpack } from '#lib/core/prove/compact/layout.ts';
import { labelOf } from '#lib/core/prove/compact/label.ts';
import { CompactJob } from '#lib/core/prove/compact/moves.ts';
import { after, movesFrom } from '#lib/core/prove/moves.ts';
import {
  checklistNames,
  checklistOf,
  checklistText,
  lampText,
} from '../../../support/checklist-texts.ts';

/** Walks up to `most` states, every `stride`th new one and each that gets further in the checklist. */
function disagreements(checklist: Checklist, connectors: number, most: number, stride: number) {
  const bounds = boundsOf(checklist, 2, connectors);
  const job = new CompactJob(planOf(checklist), bounds);
  const { layout } = job;
  const packed = new Int32Array(layout.words);
  const keyOf = (row: Int32Array) => {
    pack(layout, row, packed, 0);
    return packed.join();
  };
  const found = [initialState(layout.plan, '')];
  const seen = new Set(found.map((state) => keyOf(rowOf(layout, state))));
  const wrong: string[] = [];
  for (let at = 0; at < found.length && wrong.length === 0; at++) {
    const state = found[at] as (typeof found)[number];
    const engine = new Map<number, string>();
    for (const [ordinal, { command, events }] of movesFrom(state, bounds).entries()) {
      const next = after(state, events);
      const key = keyOf(rowOf(layout, next));
      const danger = events.some((event) => event.type === 'try.refused');
      engine.set(labelOf(state, layout.people, command, danger), key);
      const further = next.frontier > state.frontier;
      if (found.length >= most || seen.has(key)) continue;
      if (!further && (at * 5 + ordinal) % stride !== 0) continue;
      seen.add(key);
      found.push(next);
    }
    /* Through the packed form and back, as the explorer does. */
    const row = new Int32Array(layout.length);
    pack(layout, rowOf(layout, state), packed, 0);
    unpack(layout, packed, 0, row);
    job.movesFrom(row, (label) => {
      if (engine.get(label) !== keyOf(job.row)) wrong.push(`state ${at}, move ${label}`);
      engine.delete(label);
    });
    for (const label of engine.keys()) wrong.push(`state ${at}, no move ${label}`);
  }
  return { wrong, states: found.length };
}

describe('the compact form agrees with the engine', () => {
  test('in every state of the bench lamp', () => {
    const { wrong, states } = disagreements(checklistOf(lampText), 1, 1e6, 1);
    expect(wrong).toEqual([]);
    expect(states).toBe(1650);
  });

  const others = (['test', 'shipped'] as const).flatMap((folder) =>
    checklistNames(folder).map((name) => [name, folder] as const),
  );
  test.each(others)('in states all along %s', (name, folder) => {
    const checklist = checklistOf(checklistText(name, folder));
    const { wrong, states } = disagreements(checklist, 2, 600, 3);
    expect(wrong).toEqual([]);
    expect(states).toBe(600);
  });
});
