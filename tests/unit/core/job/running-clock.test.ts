import { describe, expect, test } from 'vitest';
import type { Command } from '#lib/core/job/commands.ts';
import { advance, gapOf } from '#lib/core/job/running-clock.ts';
import {
  at,
  does,
  goodResult,
  kiln,
  MINUTE,
  refused,
  SECOND,
  stepOf,
  submit,
  views,
  type Job,
} from '../../../support/job-builder.ts';

/** An order stamped by hand: so much later on the wall, so much on the running clock, in which run. */
function stamped(job: Job, wall: number, mono: number, boot = job.now.boot): Command {
  const at = new Date(Date.parse(job.now.at) + wall).toISOString();
  return { command: 'nearMiss', what: 'nothing', by: 'mara', at, mono, boot };
}

test.each([
  '2026-11-25T10:42:07.250Z',
  '2024-02-29T23:59:59.999Z',
  '2023-02-29T00:00:00.000Z',
  '0003-14-11T09:35:37.329Z',
  '2026-11-25T24:00:00.000Z',
  '2026-11-25T10:60:00.000Z',
  '2026-11-25T24:30:00.000Z',
  '2026-11-25T10:42:60.000Z',
  '2026-11-25_10:42:07.250Z',
  '2026-11-25T10_42:07.250Z',
  '2026-11-25T10:42_07.250Z',
  '2026-11-25T10:42:07_250Z',
  '2026-11-25T10:42:07.250_',
  '2026-11-25T10:42:07.250Z_',
  '2026-11-25T1/:42:07.250Z',
  '2026-11-25T10:42:07.2/0Z',
  '2026-11-25T10:42:07.25xZ',
  '2026-11-25T10:42:07.250z',
  '2026-11-25T10:42:07+01:00',
  '2026-11-25',
  'noon',
])('the wall clock %s is read as the platform reads it', (at) => {
  const began = { at: '1970-01-01T00:00:00.000Z', mono: 0, boot: 'a', ran: 0 };
  const ms = Date.parse(at);
  const { wallDrift } = gapOf(began, { at, mono: 0, boot: 'a', by: 'mara' });
  expect(wallDrift).toBe(Number.isNaN(ms) ? 0 : ms);
});

const noted = (job: Job) =>
  job.events.filter((event) => event.type === 'clock.noted').map(({ body }) => body);
const lapsed = (job: Job) =>
  job.events.filter((event) => event.type === 'fact.lapsed').map(({ body }) => body);

describe('one run of the running clock', () => {
  test('a wall clock that is set back is noted and moves nothing', () => {
    const job = at(kiln(), 'wires');
    const after = submit(job, stamped(job, -90 * MINUTE, job.now.mono + 1000)).job;
    expect(noted(after)).toEqual([{ what: 'wallBack', seconds: -5401 }]);
    expect(lapsed(after)).toEqual([]);
  });

  test('a wall clock that jumps ahead is noted and ages nothing', () => {
    const job = at(kiln(), 'wires');
    const after = submit(job, stamped(job, 5 * 60 * MINUTE, job.now.mono + 1000)).job;
    expect(noted(after)).toEqual([{ what: 'wallAhead', seconds: 17999 }]);
    expect(stepOf(after, 'dead').state).toBe('done');
  });

  test('a little drift is not worth a note', () => {
    const job = at(kiln(), 'wires');
    expect(noted(submit(job, stamped(job, 60 * SECOND, job.now.mono + 61 * SECOND)).job)).toEqual(
      [],
    );
  });

  test('running time ages a proof, whatever the wall says', () => {
    const job = at(kiln(), 'wires');
    const late = stamped(job, 0, job.now.mono + 31 * MINUTE);
    const turn = submit(job, {
      ...late,
      command: 'do',
      step: 'wires',
      result: goodResult(job, 'wires'),
    } as Command);
    refused(turn, 'stale-proof', /time ran out/);
    expect(lapsed(turn.job)).toEqual([{ what: 'time', cause: 'clock', steps: ['dead'] }]);
  });

  test('backwards is no command of this device, and leaves no trace', () => {
    const job = at(kiln(), 'wires');
    const turn = submit(job, stamped(job, 1000, job.now.mono - 1));
    refused(turn, 'bad-input', /running clock went backwards/);
    expect(turn.decision.events).toEqual([]);
  });
});

describe('a restart', () => {
  test('of which the wall says that it was short keeps the time going', () => {
    const job = at(kiln(), 'wires');
    const after = submit(job, stamped(job, 2 * MINUTE, 40, 'boot-2')).job;
    expect(noted(after)).toEqual([{ what: 'restart', seconds: 120 }]);
    expect(lapsed(after)).toEqual([]);
    expect(after.state.clock.ran - job.state.clock.ran).toBe(2 * MINUTE);
    // And what is over by then is over.
    const old = submit(after, stamped(after, 29 * MINUTE, 40 + 29 * MINUTE)).job;
    expect(lapsed(old)).toMatchObject([{ what: 'time', cause: 'clock', steps: ['dead'] }]);
  });

  test.each([
    ['long', 121 * SECOND],
    ['of a wall clock set back', -1],
  ])('that was %s ends every fact with a shelf life', (_, wall) => {
    const job = at(kiln(), 'wires');
    const after = submit(job, stamped(job, wall, 40, 'boot-2')).job;
    expect(lapsed(after)).toEqual([{ what: 'time', cause: 'restart', steps: ['dead'] }]);
  });

  test('that was long begins a wait anew', () => {
    const job = at(kiln(), 'drain');
    const wait = (each: Job) => views(each).sources.find(({ id }) => id === 'smoothing')?.wait;
    const ready = { ...job, now: { ...job.now, mono: job.now.mono + 4 * MINUTE } };
    expect(wait(ready)?.remainingMs).toBe(0);
    const after = submit(job, stamped(job, 10 * MINUTE, 40, 'boot-2')).job;
    expect(wait(after)?.remainingMs).toBe(wait(after)?.totalMs);
  });
});

test('a clock that never ran, or a time that nobody can read, is no gap', () => {
  const now = { at: '2026-11-25T10:00:00Z', mono: 5, boot: 'a', by: 'mara' };
  const still = { restarted: false, ms: 0, known: true, wallDrift: 0 };
  expect(gapOf({ at: '', mono: 0, boot: '', ran: 0 }, now)).toEqual(still);
  expect(gapOf({ ...now, ran: 0 }, now)).toEqual(still);
  expect(gapOf({ ...now, ran: 0 }, { ...now, boot: 'b' })).toEqual({ ...still, restarted: true });
  const clock = { at: 'yesterday', mono: 1, boot: 'a', ran: 0 };
  expect(gapOf(clock, now)).toEqual({ restarted: false, ms: 4, known: true, wallDrift: 0 });
  expect(gapOf(clock, { ...now, boot: 'b' })).toEqual({
    restarted: true,
    ms: 0,
    known: false,
    wallDrift: 0,
  });
});

test('the clock goes on with each part of a stamp', () => {
  const clock = { at: '2026-11-25T10:00:00.000Z', mono: 5, boot: 'a', ran: 70 };
  const stamp = { at: clock.at, mono: 5, boot: 'a', by: 'mara' };
  const wall = '2026-11-25T10:00:01.000Z';
  expect(advance(clock, stamp)).toEqual(clock);
  expect(advance(clock, { ...stamp, boot: 'b' })).toEqual({ ...clock, boot: 'b' });
  expect(advance(clock, { ...stamp, at: wall })).toEqual({ ...clock, at: wall });
  expect(advance(clock, { ...stamp, mono: 9 })).toEqual({ ...clock, mono: 9, ran: 74 });
  expect(advance(clock, { ...stamp, at: wall, boot: 'b' })).toEqual({
    ...clock,
    at: wall,
    boot: 'b',
    ran: 1070,
  });
});

test('the order after the clock notes is weighed on what still holds', () => {
  const job = at(kiln(), 'cover-off');
  const command = { ...stamped(job, 60 * MINUTE, 7, 'boot-9'), ...does('cover-off') } as Command;
  refused(submit(job, command), 'stale-proof');
});
