/**
 * P8 where a list opens, closes, opens and closes one cover: what is moved again is asked for again where the order
 * stands, and what was said before a cover came off again stays said. The range closes itself up for its live window.
 */
import { describe, expect, test } from 'vitest';
import { runMonitors } from '#lib/core/safety/index.ts';
import {
  and,
  at,
  close,
  does,
  goodResult,
  lapse,
  range,
  refused,
  says,
  stepOf,
  stepsIn,
  views,
  walk,
  when,
  type Job,
} from '../../../support/job-builder.ts';

const to = (step: string, verdict = 'board'): Job =>
  walk(at(range(), 'verdict'), step, {
    options: { verdict: 'undecided', 'live-verdict': verdict },
  });

/** What the properties, written apart from the engine, say of the whole record. */
const broken = (job: Job) =>
  Object.values(runMonitors(range().checklist, job.events)).flatMap(({ violations }) => violations);

describe('a cover that is moved again', () => {
  test('closed again where the list has it open: the opening is asked for again', () => {
    const job = and(to('wires-again'), does('rear-on-live'));
    expect(views(job).current?.id).toBe('rear-off-again');
    expect(broken(job)).toEqual([]);
  });

  test('opened again by an earlier step: the closing that it undid is asked for again', () => {
    const job = and(to('clear-live'), does('rear-off'));
    expect(views(job).current?.id).toBe('rear-on-live');
    const closed = and(job, does('rear-on-live'));
    expect(views(closed).current?.id).toBe('clear-live');
    expect(broken(closed)).toEqual([]);
  });

  test('opened by the list itself: nothing that it passed is asked for again', () => {
    const job = to('shake-again');
    expect(stepsIn(job, 'done')).toEqual(
      expect.arrayContaining(['top-down-live', 'rear-on-live', 'rear-off-again', 'top-up-again']),
    );
  });

  test('closed by the first step for it after the list had opened it twice: the second is asked for again', () => {
    const job = and(to('rewire'), does('top-down-live'));
    expect(stepsIn(job, 'done')).not.toContain('top-up-again');
    expect(broken(job)).toEqual([]);
  });
});

describe('a choice that was made before a cover came off again', () => {
  const before = to('rear-off-again', 'neither');
  const correct = says({ command: 'correct', step: 'live-verdict', why: 'tapped the wrong line' });

  test('is corrected while the cover is on', () => {
    const job = and(before, correct);
    expect(views(job).current?.id).toBe('live-verdict');
    expect(broken(and(job, does('live-verdict', { option: 'board' })))).toEqual([]);
  });

  test('stays said once it is off, since it could not be made in its place again', () => {
    const off = walk(before, 'top-up-again');
    refused(when(off, correct), 'order', /rear-off-again/);
  });
});

test('a connector pushed home alone, while others are off, takes no place in the order', () => {
  const off = and(
    to('clear-live'),
    does('top-up'),
    does('wires', {
      connectors: [
        { id: 'w1', label: 'black', terminal: 'L1' },
        { id: 'w2', label: 'red', terminal: 'L2' },
      ],
    }),
    does('rewire-live', { connector: 'w1' }),
    does('rewire-live', { connector: 'w2' }),
  );
  expect(broken(off)).toEqual([]);
});

describe('a bond that is in doubt once the plug is in again', () => {
  /* The meter is doubted after the bond was measured with it and the gloves were let go of. */
  const doubt = lapse('instrumentDoubt', { instrument: 'meter-3' });
  const again = (job: Job, step: string): Job => and(job, does(step, goodResult(job, step)));
  const doubted = ['supply', 'case', 'breaker-off'].reduce(
    again,
    and(to('case-again', 'neither'), doubt),
  );

  test('asks for both breaks, and for the gloves that one of them wears', () => {
    expect(stepsIn(doubted, 'lapsed')).toEqual(expect.arrayContaining(['unplug', 'bond']));
    refused(when(doubted, does('power')), 'roll-call');
    expect(stepOf(doubted, 'gloves').refusals).toEqual([]);
  });

  test('is measured again on the way to the roll call, and the job goes on to its end', () => {
    const job = walk(doubted);
    expect(and(job, close).state.status).toBe('handedBack');
    expect(broken(job)).toEqual([]);
  });
});
