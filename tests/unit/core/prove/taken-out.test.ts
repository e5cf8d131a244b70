/**
 * Every standing interlock taken out of a small checklist on which it is all that is in the way: a
 * property breaks, or, where none of the twelve speaks of it, an act passes that the whole engine refuses.
 * Each way there is read as JSON and run again by the engine, with the gate out and with it in place.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { decide, type Decision } from '#lib/core/job/decide.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { INTERLOCKS } from '#lib/core/job/interlocks.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';
import { planOf, type Plan } from '#lib/core/job/plan.ts';
import { initialState } from '#lib/core/job/state.ts';
import { boundsOf } from '#lib/core/prove/bounds.ts';
import { guardsOf, INTERLOCK_GUARDS } from '#lib/core/prove/guards.ts';
import { hunt, type Found, type HuntLimits } from '#lib/core/prove/hunt.ts';
import { gatesOf, planWithout } from '#lib/core/prove/removal.ts';
import { commandsOf } from '#lib/core/prove/trace.ts';
import { runMonitors, type PropertyId } from '#lib/core/safety/index.ts';
import { checklistOf } from '../../../support/checklist-texts.ts';

const root = new URL('../../../', import.meta.url);
const read = (path: string) => checklistOf(readFileSync(new URL(path, root), 'utf8'));
const LISTS = {
  lamp: read('support/checklists/bench-lamp.yaml'),
  kiln: read('support/checklists/glass-kiln-element.yaml'),
  fan: read('unit/core/prove/checklists/workshop-fan.yaml'),
  lift: read('replays/checklists/storage-lift.yaml'),
  dishwasher: read('replays/checklists/cafe-dishwasher.yaml'),
};

/** By interlock: where it stands alone, and what breaks there without it. */
const ROWS: readonly (readonly [string, keyof typeof LISTS, PropertyId | 'an act passes'])[] = [
  ['window', 'lift', 'an act passes'],
  ['order', 'lamp', 'P8'],
  ['once', 'lamp', 'P8'],
  ['due-order', 'dishwasher', 'an act passes'],
  ['needs', 'kiln', 'P8'],
  ['people', 'fan', 'an act passes'],
  ['competence', 'lamp', 'an act passes'],
  ['case', 'kiln', 'P11'],
  ['dead', 'lamp', 'P1'],
  ['props', 'kiln', 'P1'],
  ['wear', 'kiln', 'P8'],
  ['briefing', 'fan', 'an act passes'],
  ['find', 'fan', 'an act passes'],
  ['lock-on-cut', 'fan', 'P12'],
  ['wait', 'kiln', 'P7'],
  ['prove-cut', 'lamp', 'P12'],
  ['counted', 'fan', 'an act passes'],
  ['dead-for-ohms', 'fan', 'an act passes'],
  ['part-off', 'fan', 'an act passes'],
  ['ends', 'lamp', 'P8'],
  ['nothing-open', 'fan', 'P2'],
  ['own-lock', 'kiln', 'P4'],
  ['roll-call', 'lamp', 'P3'],
  ['locks-off', 'lamp', 'P3'],
  ['restore-order', 'fan', 'P8'],
  ['window-from-cut', 'lift', 'P8'],
  ['wet', 'dishwasher', 'an act passes'],
  ['left-whole', 'fan', 'an act passes'],
];

const LIMITS: HuntLimits = { states: 60_000 };

function without(checklist: Checklist, gate: string, limits: HuntLimits = LIMITS, people = 2) {
  const plan = planOf(checklist);
  const reduced = planWithout(plan, gate);
  if (reduced === undefined) throw new Error(`${checklist.id} has no gate ${gate}`);
  return { plan, reduced, hunted: hunt(plan, reduced, boundsOf(checklist, people, 1), limits) };
}

/** The taps as a file of commands would have them, on an engine with this plan. */
function replayed(plan: Plan, found: Found) {
  let state = initialState(plan, '');
  const decisions: Decision[] = [];
  const events: JobEvent[] = [];
  for (const command of commandsOf(found.path)) {
    const parsed = parseCommand(JSON.parse(JSON.stringify(command)));
    if (!parsed.ok) throw new Error(parsed.says);
    const decision = decide(state, parsed.command);
    state = decision.events.reduce(evolve, state);
    decisions.push(decision);
    events.push(...decision.events);
  }
  return { decisions, verdicts: runMonitors(plan.checklist, events) };
}

/** Tests that show danger are refused as results on purpose: the taps that the way itself had refused. */
const wasTaken = ({ path }: Found) =>
  path.map(({ events }) => events.every(({ type }) => type !== 'try.refused'));
const isTaken = ({ decisions }: ReturnType<typeof replayed>) =>
  decisions.map(({ accepted }) => accepted);

const refusalsOf = ({ decisions }: ReturnType<typeof replayed>) =>
  decisions.flatMap(({ refusals }) => refusals.map(({ says }) => says));

test('every standing interlock has its row and its guard', () => {
  const ids = INTERLOCKS.map(({ id }) => id);
  expect(ROWS.map(([id]) => id)).toEqual(ids);
  expect(Object.keys(INTERLOCK_GUARDS)).toEqual(ids);
});

describe.each(ROWS)('without %s, on the %s: %s', (id, name, breaks) => {
  const checklist = LISTS[name];
  const limits = breaks === 'an act passes' ? { ...LIMITS, firstAct: true } : LIMITS;
  const { plan, reduced, hunted } = without(checklist, id, limits);
  const found = breaks === 'an act passes' ? hunted.letsThrough : hunted.breaks;

  test('something breaks, and it is what the gate is for', () => {
    expect(found).toBeDefined();
    if (breaks === 'an act passes') return;
    expect(hunted.breaks?.property).toBe(breaks);
    expect(INTERLOCK_GUARDS[id]?.serves).toContain(breaks);
  });

  test('the taps do it again with the gate out', () => {
    const again = replayed(reduced, found as Found);
    expect(isTaken(again)).toEqual(wasTaken(found as Found));
    if (breaks !== 'an act passes') expect(again.verdicts[breaks].holds).toBe(false);
  });

  test('with the gate in place they are refused, and every property holds', () => {
    const whole = replayed(plan, found as Found);
    expect(isTaken(whole)).not.toEqual(wasTaken(found as Found));
    expect(Object.values(whole.verdicts).flatMap(({ violations }) => violations)).toEqual([]);
  });
});

describe('a gate that a step asks for by itself', () => {
  test.each([
    ['unplug needs gloves', 'P8'],
    ['unplug needs slack', 'P8'],
    ['cover-on wants worn or bare', 'P8'],
  ] as const)('%s: %s breaks without it, and only there', (gate, property) => {
    const { plan, reduced, hunted } = without(LISTS.kiln, gate);
    expect(hunted.breaks?.property).toBe(property);
    const changed = plan.steps.filter((step, at) => step !== reduced.steps[at]);
    expect(changed.map(({ id }) => id)).toEqual([gate.split(' ')[0]]);
    expect(replayed(reduced, hunted.breaks as Found).verdicts[property].holds).toBe(false);
    expect(refusalsOf(replayed(plan, hunted.breaks as Found)).length).toBeGreaterThan(0);
  });

  test('people at a step: it passes alone', () => {
    const { hunted } = without(LISTS.fan, 'rewire wants people', { ...LIMITS, firstAct: true });
    expect(hunted.letsThrough?.says).toMatch(/at least 2 people/u);
  });
});

describe('a gate that is idle', () => {
  const alone = (limits: HuntLimits) => without(LISTS.lamp, 'window', limits, 1).hunted;

  test('nothing breaks in any state, and that is said only when all were walked', () => {
    expect(alone(LIMITS)).toEqual({ states: 746, complete: true });
    expect(alone({ states: 500 }).complete).toBe(false);
    expect(alone({ ...LIMITS, progress: () => false }).complete).toBe(false);
  });

  test('what no plan has is no gate', () => {
    expect(planWithout(planOf(LISTS.lamp), 'unplug needs gloves')).toBeUndefined();
  });
});

describe('what gates are for', () => {
  test('every gate of a plan is told, the lapse table with it', () => {
    const plan = planOf(LISTS.kiln);
    const guards = guardsOf(plan);
    expect(guards.filter(({ kind }) => kind !== 'lapse').map(({ gate }) => gate)).toEqual(
      gatesOf(plan),
    );
    expect(guards.filter(({ kind }) => kind === 'lapse').map(({ gate }) => gate)).toEqual([
      'time',
      'leftSight',
      'panelTouched',
      'reEnergized',
      'moved',
      'instrumentDoubt',
      'joined',
      'parked',
      'resumed',
      'handedOver',
      'windowOpened',
    ]);
    expect(guards.every(({ stops }) => /^[A-Z].+\.$/u.test(stops))).toBe(true);
    const own = guards.find(({ gate }) => gate === 'clear wants worn or bare');
    expect(own).toMatchObject({ kind: 'own', report: INTERLOCK_GUARDS.wear?.report });
  });
});
