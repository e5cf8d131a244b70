/**
 * With any connector not reseated every road to re-energizing is shut: from every state of the range job
 * after the connectors came off, commands of every kind, and the refusal names the connector.
 */
import { describe, expect, test } from 'vitest';
import { decide } from '#lib/core/job/decide.ts';
import { isSettled, type JobState } from '#lib/core/job/state.ts';
import { viewOf } from '#lib/core/job/view.ts';
import {
  and,
  at,
  commandOf,
  does,
  dryer,
  goodResult,
  MARA,
  ODE,
  range,
  SECOND,
  views,
  when,
  type Job,
  type Said,
} from '../support/job-builder.ts';

const CONNECTORS = ['J3-1', 'J3-2', 'J3-3', 'J7-1', 'J7-2', 'J7-4', 'P5'];

function pulled(): Job {
  const connectors = CONNECTORS.map((id) => ({ id, label: `wire ${id}`, terminal: `T-${id}` }));
  return and(at(range(), 'wires'), does('wires', { connectors }));
}

/** Everything that would bring power back, or leave the machine as if it could come back. */
function roads(state: JobState): Said[] {
  const steps = ['clear', 'clear-live', 'unlock', 'unlock-live', 'plug-in', 'power'];
  const park = { told: 'the tenant', owner: 'dispatch', until: '2026-12-01', left: [] };
  const window = { source: 'mains', reason: 'Voltage under command', readBack: 'breaker 18' };
  return [
    ...steps.map((step) => does(step, { people: [MARA.id], tools: 9 })),
    does('done'),
    { command: 'window', ...window },
    { command: 'window', step: 'live', ...window },
    { command: 'park', as: 'usable', ...park },
    { command: 'close' },
    // Power that was said to be back already opens none of the roads either.
    ...(state.window === undefined ? [] : [{ command: 'endWindow' } as const]),
  ];
}

function expectShut(job: Job, connector: string): void {
  for (const said of roads(job.state)) {
    const { accepted, refusals } = decide(job.state, commandOf(job, said));
    const name = 'step' in said ? `${said.command} ${said.step}` : said.command;
    expect(accepted, name).toBe(false);
    const applies = refusals.every((each) => each.key !== 'notApplicable');
    if (!applies) continue;
    const named = refusals.filter((each) => each.says.includes(connector));
    expect(
      named.map((each) => each.code),
      name,
    ).toContain('open-ends');
  }
}

describe.each(CONNECTORS)('with connector %s off', (connector) => {
  /** The rest of the job, with every other connector reseated as soon as that may be done. */
  function* statesAfter(): Generator<Job> {
    let job = pulled();
    yield job;
    for (let turns = 0; turns < 80; turns++) {
      const view = views(job);
      const step = view.current;
      if (step?.do === 'reseat') {
        const next = job.state.connectors.find(({ open, id }) => open && id !== connector);
        if (!next) return;
        job = and(job, does(step.id, { connector: next.id }));
      } else if (step && step.refusals.length === 0) {
        job = and(job, does(step.id, goodResult(job, step.id)));
      } else return;
      yield job;
    }
  }

  test('no state of the job has a road to power', () => {
    let states = 0;
    for (const job of statesAfter()) {
      expectShut(job, connector);
      states++;
    }
    expect(states).toBeGreaterThan(15);
  });

  test('nor has one after a lapse, a stop or a handover', () => {
    const last = [...statesAfter()].at(-1) as Job;
    expect(last.state.connectors.filter(({ open }) => open).map(({ id }) => id)).toEqual([
      connector,
    ]);
    const detours: Said[][] = [
      [{ command: 'lapse', what: 'reEnergized', source: 'mains' }],
      [{ command: 'lapse', what: 'leftSight', minutes: 50 }],
      [{ command: 'downTools', why: 'The phone rang' }, { command: 'resume' }],
      [{ command: 'tingle', what: 'A prickle at the strap' }],
      [{ command: 'join', person: ODE }],
    ];
    for (const detour of detours) expectShut(and(last, ...detour), connector);
  });

  test('the refit cannot go on past it, and the view says which one it is', () => {
    const last = [...statesAfter()].at(-1) as Job;
    const view = viewOf(last.state, last.now, MARA.id);
    expect(view.current?.id).toBe('rewire');
    expect(view.openEnds.map((end) => end.id)).toContain(connector);
    expect(view.exits.close.map((each) => each.says).join(' ')).toContain(connector);
    expect(view.exits.parkUsable.map((each) => each.says).join(' ')).toContain(connector);
    expect(isSettled(last.state, last.state.plan.stepIndex.get('rewire') ?? -1)).toBe(false);
  });

  test('it may stay off only in a machine that is cut, locked and declared', () => {
    const last = [...statesAfter()].at(-1) as Job;
    const shut = { told: 'the tenant', owner: 'dispatch', until: '2026-12-01' };
    const ends = views(last).openEnds.map(({ id }) => ({
      end: id,
      insulated: true,
      why: 'Waits for a part',
    }));
    const without = ends.filter(({ end }) => end !== connector);
    const park = (left: typeof ends): Said => ({ command: 'park', as: 'shut', ...shut, left });
    const refused = when(last, park(without)).decision;
    expect(refused.refusals.map(({ code }) => code)).toEqual(['park-incomplete']);
    expect(refused.refusals[0]?.says).toContain(`wire ${connector}`);
    const parked = and(last, park(ends));
    expect(parked.state.status).toBe('parkedShut');
    // And once work goes on it is as much in the way as before.
    expectShut(and(parked, { command: 'resume', after: 60 * SECOND }), connector);
  });
});

test('a live window is shut while a connector of the part is off', () => {
  const job = at(dryer(), 'rewire', [MARA, ODE]);
  const { decision } = when(job, {
    command: 'window',
    source: 'motor',
    reason: 'Voltage under command',
    readBack: 'disconnect 3',
  });
  const open = decision.refusals.filter(({ code }) => code === 'open-ends').map(({ says }) => says);
  expect(open.join(' ')).toMatch(/Connector w1 .* is still off.*Connector w2 .* is still off/);
});

test.each(['plug-in', 'power', 'unlock', 'clear'])(
  'without its gate %s no longer sees it',
  (step) => {
    const job = pulled();
    const plan = { ...job.state.plan, without: new Set(['nothing-open']) };
    const said = (state: JobState) =>
      decide(state, commandOf(job, does(step, { people: [MARA.id], tools: 9 }))).refusals.map(
        ({ code }) => code,
      );
    expect(said(job.state)).toContain('open-ends');
    expect(said({ ...job.state, plan })).not.toContain('open-ends');
  },
);
