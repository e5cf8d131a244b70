/** What a meter showed, and what of it stands: checks, doubts, readings, clocks and waits, part by part. */
import { describe, expect, test } from 'vitest';
import type { Command } from '#lib/core/job/commands.ts';
import type { StepResult } from '#lib/core/job/events.ts';
import type { Step } from '#lib/core/checklist/model.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { FRESH } from '#lib/core/job/state.ts';
import {
  and,
  at,
  both,
  does,
  dryer,
  given,
  goodResult,
  kiln,
  lamp,
  lapse,
  later,
  METER,
  MINUTE,
  refused,
  submit,
  walk,
  when,
  type Job,
} from '../../../support/job-builder.ts';

const GOOD = { expected: '120', shown: '119.6', unit: 'V' };
/** A weak battery has shown 177 V on a 120 V source (a published field case). */
const WEAK = { expected: '120', shown: '177', unit: 'V' };
const DEAD_PASS = { expected: '1', shown: '1', unit: 'V' };
const isFresh = (job: Job, id: string) =>
  ((job.state.marks[job.state.plan.stepIndex.get(id) ?? -1] ?? 0) & FRESH) !== 0;
const told = (job: Job) => job.events.at(-1)?.body as { doubt?: string; caseLive?: string };
const tries = (job: Job, step: string, result: StepResult) => when(job, does(step, result)).job;

describe('a case test', () => {
  const job = () => given(kiln());
  const shown = (value: string, more: object = {}): StepResult => ({
    pairs: { 'case-ground': { value, unit: 'V' } },
    before: GOOD,
    instrument: METER.id,
    ...more,
  });

  test('needs one check, before; a second one has to be good', () => {
    expect(isFresh(and(job(), does('case', shown('0.3'))), 'case')).toBe(true);
    expect(isFresh(and(job(), does('case', shown('0.3', { after: GOOD }))), 'case')).toBe(true);
    refused(when(job(), does('case', shown('0.3', { after: WEAK }))), 'instrument');
  });

  test.each([
    ['before', { before: WEAK }],
    ['after', { after: WEAK }],
  ])('with a bad check %s puts the meter in doubt', (_, more) => {
    expect(told(tries(job(), 'case', shown('0.3', more))).doubt).toBe(METER.id);
  });

  test('with good checks does not, and neither does one with a meter that nobody knows', () => {
    const live = told(tries(job(), 'case', shown('7')));
    expect(live).toMatchObject({ caseLive: 'mains' });
    expect(live).not.toHaveProperty('doubt');
    const strange = tries(job(), 'case', shown('0.3', { before: WEAK, instrument: 'T-0' }));
    expect(told(strange)).not.toHaveProperty('doubt');
    expect(told(strange)).not.toHaveProperty('caseLive');
  });

  test('reads clear up to 5 V and not at 5 V', () => {
    expect(isFresh(and(job(), does('case', shown('4.9'))), 'case')).toBe(true);
    refused(when(job(), does('case', shown('5'))), 'case-live');
    refused(when(job(), does('case', shown('-5'))), 'case-live');
  });

  test('is not proved by a known source that would pass for dead', () => {
    refused(
      when(job(), does('case', shown('0.3', { before: DEAD_PASS }))),
      'bad-input',
      /known source/,
    );
  });
});

describe('a proof', () => {
  test('at its limit is none, and a known source at the limit proves no meter', () => {
    const job = at(lamp(), 'dead');
    const proof = (value: string, more: object = {}) => {
      const zero = { value: '0', unit: 'V' };
      const pairs = { 'L-N': { value, unit: 'V' }, 'L-G': zero, 'N-G': zero };
      return does('dead', { ...goodResult(job, 'dead'), pairs, ...more });
    };
    refused(when(job, proof('2')), 'not-dead');
    expect(isFresh(and(job, proof('1.9')), 'dead')).toBe(true);
    const low = { expected: '2', shown: '2', unit: 'V' };
    expect(isFresh(and(job, proof('0', { before: low })), 'dead')).toBe(true);
    refused(when(job, proof('0', { before: { ...low, expected: '1.9' } })), 'bad-input');
    expect(
      told(tries(job, 'dead', { ...goodResult(job, 'dead'), before: WEAK, instrument: 'T' })),
    ).not.toHaveProperty('doubt');
  });
});

describe('a reading', () => {
  const list = kiln().checklist;
  const with_ = (more: { quantity: string }) =>
    planOf({
      ...list,
      id: `kiln-${more.quantity}`,
      steps: list.steps.map((each) =>
        each.id === 'element-ohms'
          ? ({ ...each, ...more, accept: undefined } as unknown as Step)
          : each,
      ),
    });
  const ready = (more: { quantity: string }) => at(with_(more), 'element-ohms');

  test('of a voltage wants a meter that is fit for the source', () => {
    const weak = { ...METER, category: 'CAT II' };
    const job = ready({ quantity: 'voltage' });
    const instruments = [{ card: weak, doubted: false }];
    const poor = { ...job, state: { ...job.state, instruments } };
    const read = does('element-ohms', { value: '3', unit: 'V', instrument: METER.id });
    expect(when(job, read).decision.refusals.map(({ code }) => code)).not.toContain('instrument');
    refused(when(poor, read), 'instrument');
    const ohms = ready({ quantity: 'resistance' });
    const plain = { ...ohms, state: { ...ohms.state, instruments } };
    const resistance = does('element-ohms', { value: '3', unit: 'ohm', instrument: METER.id });
    expect(when(plain, resistance).decision.refusals).toEqual([]);
  });

  test('of a time needs none', () => {
    const job = ready({ quantity: 'time' });
    expect(when(job, does('element-ohms', { value: '3', unit: 's' })).decision.refusals).toEqual(
      [],
    );
    const ohms = ready({ quantity: 'resistance' });
    refused(when(ohms, does('element-ohms', { value: '3', unit: 'ohm' })), 'instrument');
  });

  test('with a meter in doubt is checked first, and ends when its meter comes in doubt', () => {
    const job = at(kiln(), 'element-ohms');
    const doubted = and(job, lapse('instrumentDoubt', { instrument: METER.id }));
    const bare = does('element-ohms', { value: '20', unit: 'ohm', instrument: METER.id });
    const codes = (turn: ReturnType<typeof when>) => turn.decision.refusals.map(({ code }) => code);
    expect(codes(when(doubted, bare))).toContain('instrument');
    const checked = does('element-ohms', { ...bareResult, before: GOOD });
    expect(codes(when(doubted, checked))).not.toContain('instrument');
    expect(told(tries(job, 'element-ohms', { ...bareResult, before: WEAK })).doubt).toBe(METER.id);
    const read = and(job, bare);
    expect(ended(read, 'element-ohms')).toBeUndefined();
    expect(
      ended(and(read, lapse('instrumentDoubt', { instrument: METER.id })), 'element-ohms'),
    ).toBe('the instrument is in doubt');
    const other = { ...read.state.instruments[0]!, card: { ...METER, id: 'T-9' } };
    const two = {
      ...read,
      state: { ...read.state, instruments: [...read.state.instruments, other] },
    };
    expect(
      ended(and(two, lapse('instrumentDoubt', { instrument: 'T-9' })), 'element-ohms'),
    ).toBeUndefined();
  });

  const bareResult = { value: '20', unit: 'ohm', instrument: METER.id };
});

describe('a clock that began anew, after a long gap', () => {
  const restart = (job: Job): Command => ({
    command: 'nearMiss',
    what: 'nothing',
    by: 'mara',
    at: new Date(Date.parse(job.now.at) + 10 * MINUTE).toISOString(),
    mono: 40,
    boot: 'boot-2',
  });
  const lapses = (job: Job) =>
    job.events.filter(({ type }) => type === 'fact.lapsed').map(({ body }) => body);

  test('is told where a wait runs, though no fact ends', () => {
    const cut = at(kiln(), 'cool');
    expect(lapses(submit(cut, restart(cut)).job)).toEqual([
      { what: 'time', cause: 'restart', steps: [] },
    ]);
  });

  test('is not told where nothing waits', () => {
    const early = at(kiln(), 'breaker-off');
    expect(lapses(submit(early, restart(early)).job)).toEqual([]);
    const lampCut = at(lamp(), 'dead');
    expect(lapses(submit(lampCut, restart(lampCut)).job)).toEqual([]);
  });

  test('leaves a job alone that has ended', () => {
    const ended = and(given(kiln()), { command: 'refuse', why: 'x', left: [] });
    expect(submit(ended, restart(ended)).decision.events.map(({ type }) => type)).not.toContain(
      'clock.noted',
    );
  });
});

describe('a wait', () => {
  const cutAt = (job: Job) => job.state.cutAt;

  test('runs from the last cut of what feeds it, and not before', () => {
    expect(cutAt(at(kiln(), 'breaker-lock'))).toEqual([-1, -1, -1]);
    const cut = at(kiln(), 'cool');
    expect(cutAt(cut)).toEqual(Array.from({ length: 3 }, () => cut.state.clock.ran));
    expect(cutAt(later(cut, MINUTE))).toEqual(cutAt(cut));
    expect(cutAt(and(cut, lapse('reEnergized', { source: 'mains' })))).toEqual([-1, -1, -1]);
  });

  test('begins anew when a plug was out of sight, for what it feeds alone', () => {
    const job = at(kiln(), 'dead');
    const away = walk(and(later(job, 5 * MINUTE), lapse('leftSight')), 'unplug');
    const held = and(away, does('unplug', goodResult(away, 'unplug')));
    expect(cutAt(held)[2]).toBe(held.state.clock.ran);
  });

  test('of one charge is no business of another source', () => {
    const job = at(dryer(), 'front-off', both);
    const charge = job.state.plan.sourceIndex.get('start') ?? -1;
    const back = and(job, lapse('reEnergized', { source: 'gas' }));
    expect(cutAt(back)[charge]).toBe(cutAt(job)[charge]);
    expect(cutAt(and(job, lapse('reEnergized', { source: 'motor' })))[charge]).toBe(-1);
  });
});

describe('what comes back', () => {
  test('takes along the releases of its own, and of what it feeds, and no others', () => {
    const job = at(dryer(), 'top-up', both);
    const fresh = (each: Job) =>
      ['bleed', 'drain', 'dead-motor', 'dead-control'].map((id) => isFresh(each, id));
    expect(fresh(job)).toEqual([true, true, true, true]);
    const after = (source: string) => fresh(and(job, lapse('reEnergized', { source })));
    expect(after('motor')).toEqual([true, false, false, true]);
    expect(after('gas')).toEqual([false, true, true, true]);
    expect(after('control')).toEqual([true, true, true, false]);
  });

  test('makes the locks of its own points unsure, and no others', () => {
    const job = and(at(dryer(), 'front-off', both), lapse('reEnergized', { source: 'gas' }));
    const sure = job.state.locks.map(({ point, sure: each }) => `${point} ${each}`);
    expect([...new Set(sure)].sort()).toEqual(['0 true', '1 true', '2 false']);
  });
});

const ended = (job: Job, id: string) =>
  job.state.facts[job.state.plan.stepIndex.get(id) ?? -1]?.ended;

test('a machine that was out of sight keeps its locked points, and loses its plug', () => {
  const job = and(at(kiln(), 'cover-off'), lapse('leftSight'));
  expect(job.state.holders).toEqual(['', '']);
  expect(ended(job, 'breaker-off')).toBeUndefined();
  expect(ended(job, 'unplug')).toBe('the machine was out of sight');
});

test('stopping ends the holding of a plug, and leaves what is locked cut', () => {
  const job = and(at(kiln(), 'cover-off'), { command: 'downTools', why: 'x' });
  expect(ended(job, 'breaker-off')).toBeUndefined();
  expect(ended(job, 'unplug')).toBe('tools went down');
});
