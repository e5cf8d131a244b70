/**
 * The bench lamp with one person, explored to the end beside the properties: what holds, how many states
 * there are, and what breaks when an interlock is taken out. The counts are pinned: a change of the engine, of
 * the properties or of the checklist shows here, and is looked at before the number is changed.
 */
import { describe, expect, test } from 'vitest';
import { boundsOf } from '#lib/core/prove/bounds.ts';
import { explore, type Explored } from '#lib/core/prove/explore.ts';
import { reach } from '#lib/core/prove/reach.ts';
import { commandsOf } from '#lib/core/prove/trace.ts';
import { decide } from '#lib/core/job/decide.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState } from '#lib/core/job/state.ts';
import { runMonitors, type PropertyId } from '#lib/core/safety/index.ts';
import { checklistOf, lampText } from '../../../support/checklist-texts.ts';

const lamp = checklistOf(lampText);
const alone = boundsOf(lamp, 1, 1);
const pair = boundsOf(lamp, 2, 1);
const ALL = { states: 1_000_000 };
const FIRST = { states: 1_000_000, stopAtFirst: true };

/** The trace as `replay` would run it: read as JSON, decided by the same engine, watched by the monitors. */
function replayed(explored: Explored, property: PropertyId, without: readonly string[]) {
  const path = explored.broken.get(property)?.path ?? [];
  let state = initialState(planOf(lamp, without), '');
  const events: JobEvent[] = [];
  for (const command of commandsOf(path)) {
    const parsed = parseCommand(JSON.parse(JSON.stringify(command)));
    if (!parsed.ok) throw new Error(parsed.says);
    const decision = decide(state, parsed.command);
    state = decision.events.reduce(evolve, state);
    events.push(...decision.events);
  }
  return runMonitors(lamp, events)[property];
}

describe('the bench lamp', () => {
  test('with one person: complete, and every property holds', () => {
    const explored = explore(lamp, alone, ALL);
    expect([...explored.broken.values()].map((broken) => broken.says)).toEqual([]);
    expect(explored.complete).toBe(true);
    const { states, transitions } = explored;
    expect({ states, transitions }).toEqual({ states: 686, transitions: 7314 });
  });

  test('alone: from every state the job can still be handed back', () => {
    const engine = reach(lamp, alone, ALL);
    expect(engine.complete).toBe(true);
    expect(engine.deadEnds.length).toBe(0);
  });

  test('with two people: from every state the job can still be handed back', () => {
    const engine = reach(lamp, pair, ALL);
    expect(engine.complete).toBe(true);
    expect(engine.deadEnds.length).toBe(0);
    const { states, transitions } = engine;
    expect({ states, transitions }).toEqual({ states: 1066, transitions: 15101 });
  });

  test('an exploration that was cut short says so', () => {
    expect(explore(lamp, alone, { states: 100 }).complete).toBe(false);
    expect(reach(lamp, alone, { states: 100 }).complete).toBe(false);
    expect(explore(lamp, alone, { states: 1e6, progress: () => false }).complete).toBe(false);
  });
});

/* Interlocks that the lamp leans on alone: each breaks this property when it is taken out. */
const NEEDED: readonly (readonly [string, PropertyId])[] = [
  ['order', 'P8'],
  ['dead', 'P1'],
  ['prove-cut', 'P12'],
];

describe('an interlock taken out of the bench lamp', () => {
  test.each(NEEDED)('%s: %s breaks, and the trace replays', (id, property) => {
    const explored = explore(lamp, pair, FIRST, [id]);
    expect([...explored.broken.keys()]).toContain(property);
    expect(replayed(explored, property, [id]).holds).toBe(false);
  });

  test('the same trace is refused with the interlock in place', () => {
    const explored = explore(lamp, pair, FIRST, ['dead']);
    expect(replayed(explored, 'P1', []).holds).toBe(true);
  });
});

describe('a checklist that hangs', () => {
  test('a gate that waits for its own step is a dead end, and the taps lead to it', () => {
    const steps = lamp.steps.map((step) =>
      step.id === 'plug-in' ? { ...step, needs: ['plug-in'] } : step,
    );
    const engine = reach({ ...lamp, steps }, pair, ALL);
    expect(engine.complete).toBe(true);
    const taps = (engine.deadEnds[0] ?? []).map(({ command }) =>
      command.command === 'do' ? command.step : command.command,
    );
    expect(taps).toEqual([
      'open',
      'count',
      'unplug',
      'dead',
      'base-off',
      'wires',
      'switch',
      'rewire',
      'base-on',
      'clear',
    ]);
  });

  test('restore before reseat: power never comes back, and the way there is told', () => {
    const at = (id: string) => lamp.steps.findIndex((step) => step.id === id);
    const steps = [...lamp.steps];
    const [rewire] = steps.splice(at('rewire'), 1);
    steps.splice(steps.length - 1, 0, rewire as (typeof steps)[number]);
    const engine = reach({ ...lamp, steps }, pair, ALL);
    expect(engine.complete).toBe(true);
    const commands = (engine.deadEnds[0] ?? []).map(({ command }) => command);
    expect(commands.map((each) => (each.command === 'do' ? each.step : ''))).toContain('wires');
  });
});
