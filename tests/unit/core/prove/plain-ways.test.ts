/** The plain ways through a checklist: what the editor looks at while a draft is typed. */
import { describe, expect, test } from 'vitest';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { decide } from '#lib/core/job/decide.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { initialState } from '#lib/core/job/state.ts';
import { peopleNeeded, plainWays, type PlainWays } from '#lib/core/prove/plain-ways.ts';
import { commandsOf } from '#lib/core/prove/trace.ts';
import {
  changed,
  checklistOf,
  checklistText,
  kilnText,
  lampText,
  withoutStep,
} from '../../../support/checklist-texts.ts';

const MANY = { states: 50_000 };

/** Read as the prover reads it: its gates need not hang together. */
function drafted(text: string): Checklist {
  const loaded = loadChecklist(text, 'form');
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
  return loaded.checklist;
}

const stepsOf = ({ wrong }: PlainWays) =>
  wrong?.path.flatMap(({ command }) => ('step' in command ? [command.step] : [])) ?? [];

describe('a checklist that hangs together', () => {
  test.each([
    'bench-grinder',
    'dishwasher-drain-pump',
    'dryer-no-heat',
    'fryer-element',
    'garage-door-operator',
    'microwave-no-heat',
    'pv-string-isolator',
    'slicer-service',
    'washer-lid-lock',
  ])('%s comes to the hand-back on every plain way', (id) => {
    const walked = plainWays(checklistOf(checklistText(`${id}.yaml`, 'shipped')), MANY);
    expect(walked).toMatchObject({ complete: true, handedBack: true, wrong: null });
    expect(walked.states).toBeGreaterThan(40);
  });

  test.each([
    ['bench lamp', lampText],
    ['kiln', kilnText],
  ])('the %s too', (_, text) => {
    expect(plainWays(checklistOf(text), MANY)).toMatchObject({ complete: true, wrong: null });
  });
});

describe('a draft that is broken', () => {
  test('without its roll call ends where power should come back, and replay gets there', () => {
    const checklist = drafted(withoutStep(lampText, 'clear'));
    const walked = plainWays(checklist, MANY);
    expect(walked.wrong?.end).toEqual({ kind: 'stuck' });
    expect(walked.handedBack).toBe(false);

    let state = initialState(planOf(checklist), 'x');
    for (const command of commandsOf(walked.wrong?.path ?? [])) {
      const decided = decide(state, command);
      expect(decided.accepted).toBe(true);
      state = decided.events.reduce(evolve, state);
    }
    expect(state.status).toBe('atWork');
    expect(state.plan.steps[state.frontier]?.phase).toBeGreaterThanOrEqual(
      planOf(checklistOf(lampText)).steps.find((step) => step.do === 'clear')?.phase ?? 9,
    );
  });

  test('without its proof ends before the first hand goes in', () => {
    const walked = plainWays(drafted(withoutStep(kilnText, 'dead')), MANY);
    expect(walked.wrong?.end.kind).toBe('stuck');
    expect(stepsOf(walked)).not.toContain('cover-off');
  });

  test('a gate that hangs on one outcome is found on that way alone', () => {
    const text = changed(
      kilnText,
      '  - id: rewire\n',
      '  - id: rewire\n    when: { verdict: replace }\n',
    );
    const walked = plainWays(drafted(text), MANY);
    expect(walked.wrong?.end.kind).toBe('stuck');
    const chosen = walked.wrong?.path.flatMap(({ command }) =>
      command.command === 'do' && command.result.option ? [command.result.option] : [],
    );
    expect(chosen).not.toContain('replace');
  });

  test('a walk that is stopped says that it is not complete', () => {
    const walked = plainWays(checklistOf(kilnText), { states: 10 });
    expect(walked).toMatchObject({ complete: false, wrong: null });
    expect(plainWays(checklistOf(kilnText), { ...MANY, progress: () => false }).complete).toBe(
      false,
    );
  });
});

test('as many people as a step asks for', () => {
  expect(peopleNeeded(checklistOf(lampText))).toBe(1);
  expect(peopleNeeded(checklistOf(checklistText('laundry-dryer.yaml')))).toBe(2);
});
