/**
 * Each row of the table of lapses, replayed with the machine open: the exposed step closes at once, the
 * steps that stand open again are exactly those of the row, and doing exactly those opens it again.
 */
import { describe, expect, test } from 'vitest';
import type { Command } from '#lib/core/job/commands.ts';
import { runMonitors } from '#lib/core/safety/index.ts';
import { later, rangeUntil, stepsIn, submit, type Prepared } from '../support/prepared-job.ts';
import { ROWS, type LapseRow } from './lapse-rows.ts';

const SECONDS = 20_000;

/** The row's events, each accepted; the last stamp is that of whoever looks next. */
async function happened(row: LapseRow): Promise<Prepared> {
  let job = await rangeUntil(row.until);
  const boot = row.goneMs === undefined ? job.last.boot : 'after-the-battery';
  for (const order of row.orders) {
    const turn = submit(job, {
      ...order,
      ...later(job, row.goneMs ?? SECONDS, boot),
      by: 'mara',
    } as Command);
    expect(turn.decision.refusals).toEqual([]);
    job = turn.job;
  }
  if (row.orders.length > 0) return job;
  // Nobody said anything: what the clock ended has ended all the same when somebody looks.
  return { ...job, last: { ...job.last, ...later(job, row.goneMs ?? SECONDS, boot) } };
}

const KNOWN = { before: { expected: '119.8', shown: '119.6', unit: 'V' } };

/** Does a step as the script did it the first time. */
function again(job: Prepared, step: string, more: object = {}) {
  const done = job.events.findLast(
    (each) => each.type === 'step.done' && each.body.step === step && each.by === 'mara',
  );
  const result = done?.type === 'step.done' ? done.body.result : undefined;
  const stamp = later(job, SECONDS);
  return submit(job, { command: 'do', step, result: { ...result, ...more }, ...stamp, by: 'mara' });
}

describe.each(ROWS)('$name', (row) => {
  test('the step was open before it', async () => {
    const job = await rangeUntil(row.until);
    expect(stepsIn(job, 'lapsed')).toEqual([]);
    expect(again(job, row.until).decision.refusals.map(({ code }) => code)).not.toContain('order');
  });

  test('exactly its steps stand open again', async () => {
    expect(stepsIn(await happened(row), 'lapsed')).toEqual(row.asked);
  });

  test.runIf(row.asked.length > 0 && row.closes !== false)(
    'the exposed step is refused, and the try is kept',
    async () => {
      const { decision } = again(await happened(row), row.until);
      expect(decision.accepted).toBe(false);
      expect(decision.events.at(-1)?.type).toBe('try.refused');
    },
  );

  test('exactly these, done again, leave nothing to ask, and break no property', async () => {
    let job = await happened(row);
    for (const [at, step] of row.asked.entries()) {
      const turn = again(job, step, row.meterFirst && at === 0 ? KNOWN : {});
      expect(turn.decision.refusals).toEqual([]);
      job = turn.job;
    }
    expect(stepsIn(job, 'lapsed')).toEqual([]);
    const verdicts = runMonitors(job.loaded.checklist, job.events);
    expect(Object.values(verdicts).flatMap(({ violations }) => violations)).toEqual([]);
  });
});

test('every lapse that a person can state stands in the table', () => {
  const said = ROWS.flatMap(({ orders }) =>
    orders.flatMap((each) => (each.command === 'lapse' ? [each.what] : [])),
  );
  expect([...new Set(said)].sort()).toEqual(
    ['instrumentDoubt', 'leftSight', 'moved', 'panelTouched', 'reEnergized'].sort(),
  );
});
