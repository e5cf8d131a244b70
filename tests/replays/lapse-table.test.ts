/**
 * Each row of the table of lapses, replayed with the machine open: the exposed step closes at once, the
 * steps that stand open again are exactly those of the row, and doing exactly those opens it again.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { LAPSES, type Lapse } from '#lib/core/checklist/model.ts';
import type { Command } from '#lib/core/job/commands.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { asOf } from '#lib/core/job/decide.ts';
import { runMonitors } from '#lib/core/safety/index.ts';
import { later, stepsIn, submit, type Prepared } from '../support/prepared-job.ts';
import { prepared, ROWS, type LapseRow } from './lapse-rows.ts';

const SECONDS = 20_000;

/** The row's events, each accepted; the last stamp is that of whoever looks next. */
async function happened(row: LapseRow): Promise<Prepared> {
  let job = await prepared(row);
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
  if (row.orders.length > 0) return { ...job, last: { ...job.last, by: row.hand ?? 'mara' } };
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
  return submit(job, {
    command: 'do',
    step,
    result: { ...result, ...more },
    ...stamp,
    by: job.last.by,
  });
}

describe.each(ROWS)('$name', (row) => {
  test('the step was open before it', async () => {
    const job = await prepared(row);
    expect(stepsIn(job, 'lapsed')).toEqual(row.askedBefore ?? []);
    expect(
      again(job, row.due ?? row.until).decision.refusals.map(({ code }) => code),
    ).not.toContain('order');
  });

  test('exactly its steps stand open again', async () => {
    expect(stepsIn(await happened(row), 'lapsed')).toEqual(row.asked);
  });

  test.runIf(row.asked.length > 0 && row.closes !== false)(
    'the exposed step is refused, and the try is kept',
    async () => {
      const { decision } = again(await happened(row), row.due ?? row.until);
      expect(decision.accepted).toBe(false);
      expect(decision.events.at(-1)?.type).toBe('try.refused');
    },
  );

  test.runIf(row.mends !== false)('exactly these, done again, leave nothing to ask', async () => {
    let job = await happened(row);
    for (const [at, step] of row.asked.entries()) {
      const turn = again(job, step, row.meterFirst && at === 0 ? KNOWN : {});
      expect(turn.decision.refusals).toEqual([]);
      job = turn.job;
    }
    expect(stepsIn(job, 'lapsed')).toEqual([]);
  });

  test('no property is broken by it', async () => {
    const job = await happened(row);
    const verdicts = runMonitors(job.loaded.checklist, job.events);
    expect(Object.values(verdicts).flatMap(({ violations }) => violations)).toEqual([]);
  });
});

/** What each event ends facts by, besides the lapses that are told. */
const LAPSE_OF: Partial<Record<JobEvent['type'], Lapse>> = {
  'person.joined': 'joined',
  'job.parked': 'parked',
  'job.resumed': 'resumed',
  'job.handedOver': 'handedOver',
  'window.opened': 'windowOpened',
};

test('every row of the engine’s table of lapses is replayed here and touched in a browser', async () => {
  const replayed = new Set<Lapse>();
  for (const row of ROWS) {
    const from = (await prepared(row)).events.length;
    const { events, state, last } = await happened(row);
    const byItself = asOf(state, last).facts.some((fact, at) => fact !== state.facts[at]);
    if (byItself) replayed.add('time');
    for (const event of events.slice(from)) {
      const what = event.type === 'fact.lapsed' ? event.body.what : LAPSE_OF[event.type];
      if (what !== undefined) replayed.add(what);
    }
  }
  expect([...replayed].sort()).toEqual([...LAPSES].sort());

  for (const { name, touches, walkedIn } of ROWS) {
    if (touches !== undefined) continue;
    const text = readFileSync(new URL(`../e2e/${walkedIn ?? ''}`, import.meta.url), 'utf8');
    expect(text, name).toContain(`'${name}'`);
  }
});
