/**
 * Checklists walked over sets of states: how many states there are, that every property is shown, that there is
 * always a way back, and what is found where that is not so. The counts are pinned: a change of the engine or of a
 * checklist shows here, and is looked at before the number is changed.
 */
import { describe, expect, test } from 'vitest';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { ownGatesOf } from '#lib/core/prove/binding.ts';
import { boundsOf } from '#lib/core/prove/bounds.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { reach } from '#lib/core/prove/reach.ts';
import { walk } from '#lib/core/prove/symbolic/index.ts';
import { checklistOf, checklistText, lampText } from '../../../../support/checklist-texts.ts';

const lamp = checklistOf(lampText);
const shipped = (name: string) => checklistOf(checklistText(`${name}.yaml`, 'shipped'));

function idle(checklist: Checklist, binding: ReadonlySet<string>) {
  return ownGatesOf(planOf(checklist)).filter((gate) => !binding.has(gate));
}

describe('a walk over sets of states', () => {
  test('counts what a walk state by state counts: the lamp, one person and two', () => {
    const alone = walk(lamp, boundsOf(lamp, 1, 1));
    const one = reach(lamp, boundsOf(lamp, 1, 1), { states: 1e6 });
    expect(alone).toMatchObject({ states: one.states, transitions: one.transitions });
    /* People told apart; 1646 open states are met one by one in the test of agreement. */
    const pair = walk(lamp, boundsOf(lamp, 2, 1));
    expect(pair).toMatchObject({ states: 1650, transitions: 23617, complete: true, unshown: [] });
  });

  test('counts what a walk state by state counts: the kiln with one person', () => {
    const kiln = checklistOf(checklistText('glass-kiln-element.yaml', 'test'));
    const bounds = boundsOf(kiln, 1, 2);
    const one = reach(kiln, bounds, { states: 1e6 });
    const sets = walk(kiln, bounds);
    expect(sets).toMatchObject({ states: one.states, transitions: one.transitions, unshown: [] });
    expect(sets.deadEnds).toEqual([]);
    expect(one.deadEnds).toEqual([]);
  });

  const COUNTS: readonly (readonly [string, number, number, number])[] = [
    ['washer-lid-lock', 1, 42_727, 508_625],
    ['washer-lid-lock', 2, 277_179, 4_671_270],
    ['microwave-no-heat', 1, 23_343, 269_097],
    ['microwave-no-heat', 2, 135_378, 2_087_052],
    ['dryer-no-heat', 1, 125_322, 1_612_433],
  ];
  test.each(COUNTS)(
    '%s with %i: every property shown, always a way back',
    (name, people, states, transitions) => {
      const checklist = shipped(name);
      const walked = walk(checklist, boundsOf(checklist, people, 2));
      expect(walked).toMatchObject({
        complete: true,
        unshown: [],
        deadEnds: [],
        states,
        transitions,
      });
      if (people === 2) expect(idle(checklist, walked.binding)).toEqual([]);
    },
  );

  test('one that was stopped says so, and shows nothing', () => {
    const stopped = walk(lamp, boundsOf(lamp, 2, 1), () => false);
    expect(stopped.complete).toBe(false);
    expect(stopped.unshown).toBeUndefined();
  });
});

describe('what does not hold', () => {
  test.each(['order', 'dead', 'prove-cut', 'roll-call', 'locks-off', 'ends', 'once'])(
    'the lamp without %s: not shown',
    (id) => {
      const walked = walk(lamp, boundsOf(lamp, 2, 1), () => true, [id]);
      expect(walked.unshown?.length).toBeGreaterThan(0);
    },
  );

  test('a gate that waits for its own step is a dead end, and the taps lead to it', () => {
    const steps = lamp.steps.map((step) =>
      step.id === 'plug-in' ? { ...step, needs: ['plug-in'] } : step,
    );
    const hangs = { ...lamp, steps };
    const { deadEnds } = walk(hangs, boundsOf(hangs, 2, 1));
    const taps = (deadEnds?.[0] ?? []).map(({ command }) =>
      command.command === 'do' ? command.step : command.command,
    );
    const one = reach(hangs, boundsOf(hangs, 2, 1), { states: 1e6 }).deadEnds[0] ?? [];
    expect(taps.slice(0, 2)).toEqual(['open', 'count']);
    expect(taps.at(-1)).toBe('clear');
    expect(taps.length).toBe(one.length);
  });
});
