/** What is offered in a state: everything that somebody here could do next, and nothing beside it. */
import { describe, expect, test } from 'vitest';
import { enabledCommands } from '#lib/core/job/enabled-commands.ts';
import type { Command } from '#lib/core/job/commands.ts';
import type { StepResult } from '#lib/core/job/events.ts';
import { planOf, type PlanStep } from '#lib/core/job/plan.ts';
import {
  and,
  at,
  close,
  does,
  dryer,
  finished,
  given,
  givenTwo,
  goodResult,
  kiln,
  lamp,
  MARA,
  MINUTE,
  later,
  ODE,
  unopened,
  type Job,
  type Said,
} from '../../../support/job-builder.ts';

const BOUNDS = { people: [MARA, ODE], connectors: 2 };

/** Each order in short: its name, by whom if not by Mara, and what it is about. */
function short({ by, ...order }: Command): string {
  const about = Object.entries(order).flatMap(([name, value]) => {
    if (['at', 'mono', 'boot', 'command', 'why', 'told', 'owner', 'until'].includes(name))
      return [];
    if (name === 'result') {
      const { option, connector, connectors } = value as StepResult;
      const off = connectors?.map(({ id }) => id).join('+');
      return [option ?? connector ?? off ?? ''].filter((each) => each !== '');
    }
    if (name === 'left') return [(value as { end: string }[]).map(({ end }) => end).join('+')];
    if (name === 'person' && typeof value === 'object') return [(value as { id: string }).id];
    return typeof value === 'object' ? [] : [String(value)];
  });
  return [order.command, ...(by === MARA.id ? [] : [`by ${by}`]), ...about].join(' ').trim();
}
const offered = (
  job: Job,
  only?: (step: PlanStep) => boolean,
  names?: ReadonlySet<Command['command']>,
  bounds = BOUNDS,
) => enabledCommands(job.state, bounds, job.now, only, names).map(({ command }) => short(command));
const named = (job: Job, ...names: Command['command'][]) => offered(job, undefined, new Set(names));
const park = (as: 'shut' | 'usable', lock?: string): Said => ({
  command: 'park',
  as,
  told: 'k',
  owner: 'o',
  until: '2026-12-02',
  left: [],
  ...(lock === undefined ? {} : { lock }),
});

const LAPSES = [
  'lapse leftSight',
  'lapse leftSight 45',
  'lapse panelTouched',
  'lapse reEnergized mains',
  'lapse moved',
  'lapse instrumentDoubt meter-3',
];
const STOPS = ['evidenceHold', 'downTools', 'tingle felt a tingle'];

describe('what is offered', () => {
  test('before the opening is the opening, and after the end nothing', () => {
    expect(offered(unopened(lamp()))).toEqual(['open site']);
    expect(offered(and(finished(lamp()), close))).toEqual([]);
  });

  test('on a machine that nobody touched', () => {
    const ways = ['do count', 'join ode', 'park usable', 'refuse', ...STOPS];
    expect(offered(given(lamp()))).toEqual([...ways, ...LAPSES]);
  });

  test('on a machine that is cut without a lock: no refusing, and parking with the firm’s lock', () => {
    const ways = ['do dead', 'join ode', 'park shut  parked-mara', ...STOPS];
    expect(offered(at(lamp(), 'dead'))).toEqual([...ways, ...LAPSES]);
  });

  test('while the job is parked or stopped', () => {
    const lying = ['join mara', 'join ode', 'tingle felt a tingle', 'resume', ...LAPSES];
    expect(offered(and(at(kiln(), 'cover-off'), park('shut')))).toEqual(lying);
    expect(offered(and(given(lamp()), park('usable')))).toEqual(lying);
    const down = and(at(kiln(), 'unplug'), { command: 'downTools', why: 'x' });
    expect(offered(down)).toEqual(['join ode', 'refuse', ...STOPS, 'resume', ...LAPSES]);
  });

  test('of a shelf life is its end, for as long as it runs', () => {
    const dead = at(lamp(), 'base-off');
    expect(named(dead, 'lapse', 'do', 'correct')).toEqual([
      'correct dead',
      'do base-off',
      'lapse time dead',
      ...LAPSES,
    ]);
    expect(named(later(dead, 31 * MINUTE), 'lapse', 'do', 'correct')).toEqual([
      'do dead',
      'correct dead',
      ...LAPSES,
    ]);
  });

  test('of power that came back are the sources that can be cut', () => {
    expect(named(given(dryer()), 'lapse').filter((each) => each.includes('reEnergized'))).toEqual(
      ['motor', 'control', 'gas'].map((source) => `lapse reEnergized ${source}`),
    );
  });
});

describe('people', () => {
  test('come, and go or hand over while another stays', () => {
    expect(named(givenTwo(lamp()), 'leave', 'join', 'handOver', 'do')).toEqual([
      'do count',
      'leave mara',
      'leave ode',
      'handOver ode ode-none',
      'do by ode count',
      'leave by ode mara',
      'handOver by ode mara mara-none',
      'leave by ode ode',
    ]);
  });

  test('who have left come back by the hand of who is here', () => {
    const alone = and(givenTwo(lamp()), { command: 'leave', person: 'ode', by: 'ode' });
    expect(named(alone, 'join', 'leave', 'do')).toEqual(['do count', 'join ode']);
  });

  test('hand over with a lock where the other has none yet, and nobody takes off another’s', () => {
    const two = and(at(kiln(), 'cover-off'), { command: 'join', person: ODE });
    const leaving = ['leave mara', 'leave ode'];
    expect(named(two, 'handOver', 'leave', 'removeLockFor', 'join')).toEqual([
      ...leaving,
      'handOver ode ode-0',
      'handOver by ode mara mara-none',
      'leave by ode ode',
    ]);
    const both = and(two, does('breaker-lock', goodResult(two, 'breaker-lock', 'ode'), 'ode'));
    expect(named(both, 'handOver', 'leave', 'removeLockFor')).toEqual([
      'leave mara',
      'handOver ode ode-none',
      'handOver by ode mara mara-none',
      'leave by ode ode',
    ]);
    const firm = and(both, park('shut', 'F-1'), { command: 'resume' });
    expect(named(firm, 'removeLockFor', 'handOver')).toEqual([
      'removeLockFor ode-0 seen to leave note on the van key office',
    ]);
    const back = and(firm, { command: 'join', person: ODE });
    expect(named(back, 'removeLockFor', 'handOver')).toEqual([
      'handOver ode ode-none',
      'handOver by ode mara mara-0',
    ]);
  });
});

describe('wires', () => {
  const wires = (step: PlanStep) => step.do === 'disconnect' || step.do === 'reseat';

  test('come off as many as the list wants, together or one after the other', () => {
    const none = at(kiln(), 'wires');
    expect(offered(none, wires)).toEqual(['do wires wires-1+wires-2']);
    const one = and(none, does('wires', { connectors: [{ id: 'w1', label: 'a', terminal: 'b' }] }));
    expect(offered(one, wires)).toEqual(['do wires wires-2']);
    expect(offered(at(kiln(), 'element-ohms'), wires)).toEqual([]);
    const more = { ...BOUNDS, connectors: 3 };
    expect(offered(at(kiln(), 'element-ohms'), wires, undefined, more)).toEqual([
      'do wires wires-3',
    ]);
  });

  test('go back one by one, and one that is on may come off again', () => {
    const off = at(kiln(), 'rewire');
    expect(named(off, 'do')).toEqual(['do rewire w1', 'do rewire w2']);
    const half = and(off, does('rewire', { connector: 'w1' }));
    expect(named(half, 'do')).toEqual(['do wires w1', 'do rewire w2']);
  });

  test('and ends that are open are each declared where a job is left', () => {
    const left = 'rear-cover+lid-prop+w1+w2';
    expect(named(at(kiln(), 'rewire'), 'park', 'refuse')).toEqual([
      `park shut ${left}`,
      `park shut ${left} parked-mara`,
      `refuse ${left}`,
    ]);
    const half = and(at(kiln(), 'rewire'), does('rewire', { connector: 'w1' }));
    expect(named(half, 'refuse')).toEqual(['refuse rear-cover+lid-prop+w2']);
  });
});

test('each outcome of a choice is one', () => {
  const options = ['replace', 'keep', 'specialist'].map((option) => `do verdict ${option}`);
  expect(named(at(kiln(), 'verdict'), 'do', 'notDone')).toEqual(options);
});

test('a step that may be left out can be, and a slip be put right', () => {
  const { checklist } = lamp();
  const steps = checklist.steps.map((step) =>
    step.id === 'count' ? { ...step, optional: true } : step,
  );
  const job = given(planOf({ ...checklist, steps }));
  expect(named(job, 'notDone', 'correct')).toEqual(['notDone count']);
  const done = and(job, does('count', { sources: 1 }));
  expect(named(done, 'notDone', 'correct')).toEqual(['correct count']);
});

test('a live window is opened where it stands, ended while it is open, and never done as a step', () => {
  const two = [MARA, ODE];
  const open = named(at(dryer(), 'live', two), 'window', 'endWindow', 'do');
  expect(open).toContain('window motor live voltage under command read back');
  expect(open.filter((each) => each.includes('window') || each.includes('do live'))).toHaveLength(
    1,
  );
  expect(named(at(dryer(), 'live-volts', two), 'window', 'endWindow', 'do', 'correct')).toEqual([
    'do live-volts',
    'endWindow false',
    'do by ode live-volts',
    'endWindow by ode false',
  ]);
});
