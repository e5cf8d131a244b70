/**
 * P8: no step twice except where its undoing allows it. For each kind of step what lets it be done again, and
 * that nothing else does; and the last moment of a shelf life and of a live window.
 */
import { describe, expect, test } from 'vitest';
import { stepBlocks } from '#lib/core/job/gates.ts';
import type { PlanStep } from '#lib/core/job/plan.ts';
import {
  and,
  at,
  does,
  dryer,
  goodResult,
  kiln,
  later,
  MARA,
  METER,
  MINUTE,
  refused,
  stepsIn,
  when,
  type Job,
  type Said,
  lapse,
  both,
} from '../../../support/job-builder.ts';

function isDone(job: Job, step: string): boolean {
  const own = job.state.plan.steps[job.state.plan.stepIndex.get(step) ?? -1] as PlanStep;
  return stepBlocks(job.state, own, MARA.id).some(({ key }) => key === 'alreadyDone');
}
const onKiln = (step: string, ...said: readonly Said[]) => and(at(kiln(), step), ...said);
const doubt = lapse('instrumentDoubt', { instrument: METER.id });
const open: Said = {
  command: 'window',
  source: 'motor',
  reason: 'Voltage under command',
  readBack: 'disconnect 3',
};

interface Case {
  readonly name: string;
  readonly job: () => Job;
  readonly step: string;
}

const AGAIN: readonly Case[] = [
  { name: 'a cover that was shut', job: () => onKiln('gloves-off'), step: 'cover-off' },
  { name: 'one wire more', job: () => onKiln('element-ohms'), step: 'wires' },
  { name: 'a roll call while it is asked for', job: () => onKiln('lock-off'), step: 'clear' },
  { name: 'a proof that lapsed', job: () => onKiln('wires', lapse('panelTouched')), step: 'dead' },
  { name: 'a proof with the meter in doubt', job: () => onKiln('wires', doubt), step: 'dead' },
  { name: 'a case test with the meter in doubt', job: () => onKiln('wires', doubt), step: 'case' },
  {
    name: 'gloves that are off again',
    job: () => onKiln('wires', lapse('parked')),
    step: 'gloves',
  },
  { name: 'a cut in doubt', job: () => onKiln('wires', back()), step: 'breaker-off' },
  { name: 'a plug out of sight', job: () => onKiln('wires', lapse('leftSight')), step: 'unplug' },
  {
    name: 'a live window in which nothing was read',
    job: () => and(at(dryer(), 'live', both), open, { command: 'endWindow' }),
    step: 'live',
  },
];

const NOT_AGAIN: readonly Case[] = [
  { name: 'a statement', job: () => onKiln('cool'), step: 'count' },
  { name: 'a statement that has served', job: () => onKiln('cool', lapse('moved')), step: 'slack' },
  { name: 'a proof that stands', job: () => onKiln('wires'), step: 'dead' },
  { name: 'a case test that stands', job: () => onKiln('unplug'), step: 'case' },
  { name: 'a statement with the meter in doubt', job: () => onKiln('wires', doubt), step: 'count' },
  { name: 'gloves that are on', job: () => onKiln('slack'), step: 'gloves' },
  { name: 'gloves that nothing asks for any more', job: () => onKiln('clear'), step: 'gloves' },
  { name: 'a lock of one’s own', job: () => onKiln('gloves'), step: 'breaker-lock' },
  { name: 'wires that are all back', job: () => onKiln('lid-down'), step: 'rewire' },
  { name: 'a roll call that has served', job: () => onKiln('heats'), step: 'clear' },
  { name: 'a cut at a lock point', job: () => onKiln('gloves'), step: 'breaker-off' },
  { name: 'a plug in hand', job: () => onKiln('cool'), step: 'unplug' },
  {
    name: 'a live window in which all was read',
    job: () => at(dryer(), 'hose-off', both),
    step: 'live',
  },
];

function back(): Said {
  return lapse('reEnergized', { source: 'mains' });
}

describe('may be done again', () => {
  test.each(AGAIN)('$name', ({ job, step }) => {
    expect(isDone(job(), step)).toBe(false);
  });
});

describe('is not done twice', () => {
  test.each(NOT_AGAIN)('$name', ({ job, step }) => {
    expect(isDone(job(), step)).toBe(true);
  });
});

describe('to the minute', () => {
  test('a proof holds as long as it is not older than its shelf life', () => {
    const job = at(kiln(), 'wires');
    const fact = job.state.facts[kiln().stepIndex.get('dead') ?? -1];
    const left = 30 * MINUTE - (job.state.clock.ran - (fact?.ran ?? 0));
    expect(stepsIn(later(job, left), 'lapsed')).toEqual([]);
    expect(stepsIn(later(job, left + 1), 'lapsed')).toEqual(['dead']);
  });

  test('a live window is open for its three minutes and not longer', () => {
    const job = and(at(dryer(), 'live', both), open);
    const volts = does('live-volts', goodResult(job, 'live-volts'));
    and(job, { ...volts, after: 3 * MINUTE });
    refused(when(job, { ...volts, after: 3 * MINUTE + 1 }), 'live-window', /over its time/);
  });
});

describe('a lapse that ends nothing more', () => {
  const endedBy = (job: Job, said: Said) => {
    const event = and(job, said).events.findLast((each) => each.type === 'fact.lapsed');
    return event?.type === 'fact.lapsed' ? event.body.steps : [];
  };

  test('a source that came back while it was on anyhow', () => {
    expect(endedBy(at(kiln(), 'heats'), back())).not.toContain('breaker-off');
  });

  test('a plug that was out of sight before', () => {
    expect(endedBy(onKiln('wires', lapse('leftSight')), lapse('leftSight'))).not.toContain(
      'unplug',
    );
  });
});
