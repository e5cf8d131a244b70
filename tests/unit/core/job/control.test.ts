/**
 * Under control (P1): a lock of every person working, or the plug in one person's exclusive control; each part
 * of it by itself. Every proposition here is one of P1, P3 or P10 of the properties, not of the engine.
 */
import { describe, expect, test } from 'vitest';
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import { stepBlocks } from '#lib/core/job/gates.ts';
import { planOf, type Plan, type PlanStep } from '#lib/core/job/plan.ts';
import {
  and,
  at,
  does,
  dryer,
  kiln,
  lamp,
  MARA,
  ODE,
  refused,
  walk,
  when,
  type Job,
  lapse,
  both,
  lockedLamp,
} from '../../../support/job-builder.ts';

/** What is said against a step that exposes somebody, by the keys of its sentences. */
function against(job: Job, step: string, by = MARA.id): readonly string[] {
  const own = job.state.plan.steps[job.state.plan.stepIndex.get(step) ?? -1] as PlanStep;
  return stepBlocks(job.state, own, by).map(({ key }) => key);
}

function listOf(plan: Plan, id: string, steps: readonly Step[], more: object = {}): Plan {
  return planOf({ ...plan.checklist, ...more, id, steps } as Checklist);
}

/** A lapse after which nobody has the plug in hand, so that the locks alone control it. */
const letGo = lapse('handedOver');

describe('a plug that nobody holds', () => {
  test('is under control by the lock of the one who works', () => {
    const job = and(at(lockedLamp, 'wires'), letGo);
    expect(job.state.holders).toEqual(['']);
    expect(against(job, 'wires')).not.toContain('noHolder');
  });

  test('is not without any lock', () => {
    expect(against(and(at(lamp(), 'wires'), letGo), 'wires')).toContain('noHolder');
  });

  test('is not by a lock that has to be seen again', () => {
    const job = and(at(lockedLamp, 'wires'), letGo, lapse('panelTouched'));
    expect(job.state.locks).toMatchObject([{ sure: false }]);
    expect(against(job, 'wires')).toContain('noHolder');
  });

  test('is not by the lock of one of two', () => {
    const job = and(at(lockedLamp, 'wires'), { command: 'join', person: ODE }, letGo);
    expect(against(job, 'wires')).toContain('noHolder');
    expect(against(and(at(lockedLamp, 'wires', both), letGo), 'wires')).not.toContain('noHolder');
  });

  test('asks for no lock of somebody who left', () => {
    const came = and(at(lockedLamp, 'wires'), { command: 'join', person: ODE });
    const job = and(came, { command: 'leave', person: ODE.id }, letGo);
    expect(against(job, 'wires')).not.toContain('noHolder');
  });

  test('is not by a lock on another point', () => {
    expect(against(and(at(kiln(), 'wires'), letGo), 'wires')).toContain('noHolder');
  });

  test('is not by the lock that the firm left on it', () => {
    const left = [
      { end: 'base', insulated: true, why: 'Waits for a part' },
      { end: 'wires-1', insulated: true, why: 'Waits for a part' },
    ];
    const job = and(at(lockedLamp, 'wires'), {
      command: 'park',
      as: 'shut',
      told: 'The keeper',
      owner: 'dispatch',
      until: '2026-12-02',
      lock: 'F-1',
      left: left.slice(0, 1),
    });
    const back = and(job, { command: 'resume' });
    expect(back.state.locks).toMatchObject([{ parked: true }]);
    expect(against(back, 'wires')).toContain('noHolder');
  });
});

describe('a lock point', () => {
  test('wants a lock on itself, not on another one', () => {
    const own = dryer().checklist.steps.filter(({ id }) => id !== 'gas-lock');
    const plan = listOf(dryer(), 'dryer-unlocked-gas', own);
    const job = at(plan, 'bleed', both);
    expect(job.state.locks.map(({ point }) => point)).toEqual([0, 1]);
    const front = plan.steps[plan.stepIndex.get('front-off') ?? -1] as PlanStep;
    const lacking = stepBlocks(job.state, front, MARA.id).filter(({ key }) => key === 'ownLock');
    expect(lacking.map(({ args }) => args)).toContainEqual({
      person: MARA.id,
      point: 'Gas cock behind the dryer',
    });
  });
});

test('a lock that the firm left comes off by the hand of whoever took the job up', () => {
  const own = and(at(kiln(), 'lock-off', both), does('lock-off', {}, ODE.id));
  const parked = and(own, {
    command: 'park',
    as: 'shut',
    told: 'The keeper',
    owner: 'dispatch',
    until: '2026-12-02',
    lock: 'F-1',
    left: [],
  });
  expect(parked.state.locks).toMatchObject([{ number: 'F-1', owner: MARA.id, parked: true }]);
  const back = and(parked, { command: 'resume', by: ODE.id });
  expect(against(back, 'lock-off', ODE.id)).not.toContain('noLockHere');
  expect(walk(back, 'plug-in').state.locks).toEqual([]);
});

describe('a list without a roll call', () => {
  const steps = kiln().checklist.steps.filter(({ id }) => id !== 'clear');
  const plan = listOf(kiln(), 'kiln-no-call', steps);

  test('lets no lock off and no power on, and names no step for it', () => {
    const job = at(plan, 'gloves-off');
    const off = and(job, does('gloves-off'));
    const found = refused(when(off, does('lock-off')), 'roll-call');
    expect(found.clears).toEqual([]);
  });
});

describe('the gates asked in haste', () => {
  const job = and(at(kiln(), 'wires'), lapse('handedOver'), lapse('moved'));
  const all = job.state.plan.steps.map((step) => ({
    step,
    full: stepBlocks(job.state, step, MARA.id),
    quick: stepBlocks(job.state, step, MARA.id, true),
  }));

  test('say the same yes or no', () => {
    for (const { step, full, quick } of all)
      expect(quick.length > 0, step.id).toBe(full.length > 0);
  });

  test('stop at the first rule that is broken, past those that are kept', () => {
    for (const { full, quick } of all) expect(full.slice(0, quick.length)).toEqual(quick);
    const wires = all.find(({ step }) => step.id === 'wires');
    expect(wires?.full.length).toBeGreaterThan(wires?.quick.length ?? 0);
  });
});

test('a rule taken out of a plan asks nothing, and the others ask on', () => {
  const plan = planOf({ ...kiln().checklist, id: 'kiln-bare-handed' }, ['wear']);
  const bare = at(plan, 'gloves');
  const keys = (of: Plan) => {
    const own = of.steps[of.stepIndex.get('cover-off') ?? -1] as PlanStep;
    return stepBlocks(bare.state, own, MARA.id).map(({ code }) => code);
  };
  expect(keys(plan)).not.toContain('must-wear');
  expect(keys(kiln())).not.toContain('must-wear');
  expect(against(at(kiln(), 'gloves'), 'cover-off')).toContain('mustWear');
});
