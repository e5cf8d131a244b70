/** What an event leaves alone: another's lock, another point, another wire, another meter. */
import { describe, expect, test } from 'vitest';
import type { Step } from '#lib/core/checklist/model.ts';
import { branching } from '#lib/core/job/branches.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { FRESH, SETTLED } from '#lib/core/job/state.ts';
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
  lockedLamp,
  METER,
  MINUTE,
  ODE,
  refused,
  refusedOnly,
  stepOf,
  views,
  walk,
  when,
  type Job,
  type Said,
} from '../../../support/job-builder.ts';

const isFresh = (job: Job, id: string) =>
  ((job.state.marks[job.state.plan.stepIndex.get(id) ?? -1] ?? 0) & FRESH) !== 0;
const ends = ['rear-cover', 'lid-prop', 'w1', 'w2'];
const shut = (left: readonly string[], lock?: string): Said => ({
  command: 'park',
  as: 'shut',
  told: 'keeper',
  owner: 'office',
  until: '2026-12-02',
  left: left.map((end) => ({ end, insulated: true, why: `${end} waits` })),
  ...(lock === undefined ? {} : { lock }),
});
const locksOf = (job: Job) =>
  job.state.locks.map(
    ({ number, owner, point, parked }) => `${number} ${owner} ${point} ${parked}`,
  );
const locks = (job: Job, step: string, by: string) => does(step, goodResult(job, step, by), by);

describe('locks', () => {
  const two = () => at(dryer(), 'front-off', both);

  test('of the parker alone give way to the firm’s', () => {
    const before = locksOf(two()).filter((each) => each.includes(' ode '));
    const parked = and(two(), shut([], 'F-1'));
    const after = locksOf(parked);
    expect(after.filter((each) => each.includes(' ode '))).toEqual(before);
    expect(
      after.filter((each) => each.startsWith('F-1 ')).every((each) => each.endsWith('true')),
    ).toBe(true);
    expect(after.some((each) => each.includes(' mara ') && !each.startsWith('F-1'))).toBe(false);
  });

  test('of the firm are hung where a source that is cut has none, and nowhere else', () => {
    const cut = at(lamp(), 'dead');
    expect(locksOf(and(cut, shut([], 'F-1')))).toEqual(['F-1 mara 0 true']);
    const held = and(at(kiln(), 'cover-off'), { command: 'join', person: ODE });
    const odes = and(held, locks(held, 'breaker-lock', 'ode'), {
      command: 'leave',
      person: 'mara',
    });
    const third = and(
      { ...odes, lead: 'ode' },
      { command: 'join', person: { id: 'iris', competence: [] } },
    );
    expect(locksOf(and(third, { ...shut([], 'F-1'), by: 'iris' } as Said))).toEqual([
      'ode-0 ode 0 false',
    ]);
  });

  test('of the firm stay through a handover, a leaving and a new lock at the same point', () => {
    const back = and(at(kiln(), 'cover-off'), shut([], 'F-2'), { command: 'resume' });
    expect(locksOf(and(back, locks(back, 'breaker-lock', 'mara')))).toEqual([
      'F-2 mara 0 true',
      'mara-0 mara 0 false',
    ]);
    const two = and(back, { command: 'join', person: ODE });
    expect(locksOf(and(two, { command: 'handOver', to: 'ode' }))).toEqual(['F-2 mara 0 true']);
    expect(locksOf(and(two, { command: 'leave', person: 'mara' }))).toEqual(['F-2 mara 0 true']);
  });

  test('of one who is away are taken off by number and owner', () => {
    const held = and(at(kiln(), 'cover-off'), { command: 'join', person: ODE });
    const odes = and(held, locks(held, 'breaker-lock', 'ode'));
    const parked = and(odes, shut([]), {
      command: 'join',
      person: { id: 'iris', competence: [] },
      by: 'ode',
    });
    const off: Said = {
      command: 'removeLockFor',
      lock: 'mara-0',
      away: 'gone',
      tried: ['telephone'],
      informed: 'a note',
      authorizedBy: 'office',
      by: 'iris',
    };
    expect(locksOf(and(parked, off))).toEqual(['ode-0 ode 0 false']);
  });

  test('that go with one who leaves end the proofs of their own source alone', () => {
    const job = at(dryer(), 'front-off', both);
    const mine = job.state.locks.some(({ owner, point }) => owner === 'ode' && point === 0);
    expect(mine).toBe(true);
    expect(isFresh(and(job, { command: 'leave', person: 'ode', by: 'ode' }), 'dead-motor')).toBe(
      true,
    );
  });
});

describe('wires', () => {
  const off = (...ids: string[]) =>
    does('wires', { connectors: ids.map((id) => ({ id, label: id, terminal: id })) });

  test('that come off one after the other are all off', () => {
    const job = and(at(kiln(), 'wires'), off('a'), off('b'));
    expect(job.state.connectors.map(({ id, open }) => `${id} ${open}`)).toEqual([
      'a true',
      'b true',
    ]);
    refused(when(and(at(kiln(), 'wires'), off('a')), off('a')), 'bad-input', /a/);
  });

  test('that went back and come off again are known once', () => {
    const half = and(at(kiln(), 'rewire'), does('rewire', { connector: 'w1' }));
    const again = and(half, off('w1'));
    expect(again.state.connectors.map(({ id, open }) => `${id} ${open}`)).toEqual([
      'w2 true',
      'w1 true',
    ]);
  });

  test('are all back before their step is done', () => {
    const half = and(at(kiln(), 'rewire'), does('rewire', { connector: 'w1' }));
    expect(stepOf(half, 'rewire').state).toBe('part');
    expect(stepOf(and(half, does('rewire', { connector: 'w2' })), 'rewire').state).toBe('done');
  });

  test('and ends that were left and put back say no longer how they were left', () => {
    const back = and(at(kiln(), 'rewire'), shut(ends), { command: 'resume' });
    const lid = walk(back, 'lid-down');
    const down = and(lid, does('lid-down'));
    expect(down.state.leftOpen.map(({ end }) => end)).toEqual(
      ends.filter((end) => end !== 'lid-prop'),
    );
    expect(down.state.connectors.every((each) => !('left' in each))).toBe(true);
  });
});

describe('meters', () => {
  const other = { ...METER, id: 'meter-9' };
  const start = () => {
    const job = given(kiln());
    const instruments = [...job.state.instruments, { card: other, doubted: true }];
    return { ...job, state: { ...job.state, instruments } };
  };

  test('a good check clears the doubt of the one that was checked', () => {
    const proved = walk(start(), 'cover-off');
    expect(proved.state.instruments.map(({ doubted }) => doubted)).toEqual([false, true]);
    const doubted = and(proved, lapse('instrumentDoubt', { instrument: METER.id }));
    expect(doubted.state.instruments.map(({ doubted: each }) => each)).toEqual([true, true]);
  });
});

describe('shelf lives of what several have', () => {
  const list = lockedLamp.checklist;
  const plan = planOf({
    ...list,
    steps: list.steps.map((step) =>
      step.id === 'plug-lock' ? ({ ...step, keeps: { for: '20 min' } } as Step) : step,
    ),
  });

  test('a lock is as old as the first that hangs there', () => {
    const free = at(plan, 'plug-lock', both);
    const job = and(free, locks(free, 'plug-lock', 'mara'));
    const made = (each: Job) => each.state.facts[plan.stepIndex.get('plug-lock') ?? -1]?.ran;
    expect(made(job)).toBe(job.state.clock.ran);
    const late = later(job, 10 * MINUTE);
    expect(made(and(late, locks(late, 'plug-lock', 'ode')))).toBe(made(job));
  });

  test('and as new as any once the first is in doubt', () => {
    const job = later(at(plan, 'dead', both), 10 * MINUTE);
    const unsure = and(job, lapse('reEnergized', { source: 'mains' }));
    const cut = walk(unsure, 'plug-lock');
    const hung = and(cut, locks(cut, 'plug-lock', 'mara'));
    expect(hung.state.facts[hung.state.plan.stepIndex.get('plug-lock') ?? -1]?.ran).toBe(
      hung.state.clock.ran,
    );
  });
});

describe('stopping', () => {
  test('refusing asks for what is open to be declared, and for what is cut to be locked', () => {
    const off = at(kiln(), 'rewire');
    refusedOnly(when(off, { command: 'refuse', why: 'x', left: [] }), 'park-incomplete');
    const says = when(off, { command: 'refuse', why: 'x', left: [] }).decision.refusals;
    expect(says.map(({ clears }) => clears)).toEqual([
      ['rewire'],
      ['rewire'],
      ['cover-on'],
      ['lid-down'],
    ]);
    expect(and(off, { command: 'refuse', why: 'x', left: LEFT }).state.status).toBe('refused');
  });

  test('refusing on a machine that nobody touched asks for nothing', () => {
    expect(and(given(kiln()), { command: 'refuse', why: 'x', left: [] }).state.status).toBe(
      'refused',
    );
    refused(when(at(lamp(), 'dead'), { command: 'refuse', why: 'x', left: [] }), 'park-incomplete');
  });

  test('closing asks for a signature of its own', () => {
    const job = at(lamp(), 'done');
    refusedOnly(when(job, { command: 'close' }), 'order');
    expect(and(job, does('done'), { command: 'close' }).state.status).toBe('handedBack');
  });

  const LEFT = ends.map((end) => ({ end, insulated: true, why: 'a part' }));
});

describe('a shock', () => {
  test('puts every electrical source that can be cut in doubt, and no other', () => {
    const job = and(at(dryer(), 'front-off', both), { command: 'tingle', what: 'a tingle' });
    const told = job.events.filter(({ type }) => type === 'fact.lapsed').slice(-2);
    expect(told.map(({ body }) => (body as { source?: string }).source)).toEqual([
      'motor',
      'control',
    ]);
    expect(views(job).sources.find(({ id }) => id === 'gas')?.state).not.toBe('unknown');
  });
});

describe('a slip that is put right', () => {
  test('ends a roll call, whatever it was', () => {
    const job = at(kiln(), 'lock-off');
    expect(isFresh(job, 'clear')).toBe(true);
    const slip = { command: 'correct', step: 'gloves-off', why: 'x' } as const;
    const turn = when(job, slip);
    if (turn.decision.accepted) expect(isFresh(turn.job, 'clear')).toBe(false);
    else refused(turn, 'order');
  });

  test('is done anew, with its place in the order open', () => {
    const job = and(at(kiln(), 'find-breaker'), { command: 'correct', step: 'count', why: 'x' });
    const mark = job.state.marks[job.state.plan.stepIndex.get('count') ?? -1] ?? 0;
    expect(mark & SETTLED).toBe(0);
    expect(job.state.counted).toBe(-1);
    const other = and(at(kiln(), 'find-breaker'), { command: 'correct', step: 'case', why: 'x' });
    expect(other.state.counted).toBe(3);
  });
});

describe('two devices that went on apart', () => {
  test('name the wires that are off there and not here', () => {
    const on = at(kiln(), 'wires');
    const off = at(kiln(), 'element-ohms');
    expect(branching(on.state, off.state).ends).toEqual(['black', 'red']);
    expect(branching(off.state, on.state).ends).toEqual([]);
    expect(branching(off.state, off.state).ends).toEqual([]);
    const half = and(at(kiln(), 'rewire'), does('rewire', { connector: 'w1' }));
    expect(branching(half.state, off.state).ends).toEqual(['black']);
    expect(branching(on.state, half.state).ends).toEqual(['red']);
  });

  test('name the ends, points and locks of which they tell otherwise, and no others', () => {
    const early = at(kiln(), 'cover-off');
    const open = at(kiln(), 'wires');
    expect(branching(early.state, open.state)).toEqual({
      locks: [],
      ends: ['Rear cover', 'Lid prop'],
      live: [],
      cut: [],
    });
    const point = (job: Job, at_: number) => ({
      ...job.state,
      locks: job.state.locks.map((lock) => ({ ...lock, point: at_ })),
    });
    expect(branching(early.state, point(early, 1)).locks).toMatchObject([{ number: 'mara-0' }]);
    const breakerOnly = at(kiln(), 'breaker-lock');
    expect(branching(breakerOnly.state, early.state).cut).toEqual(['Kiln plug']);
    expect(branching(early.state, breakerOnly.state).live).toEqual(['Kiln plug']);
  });
});
