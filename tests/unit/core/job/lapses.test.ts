/**
 * The standing lapse table of the checklist format: each row, what it ends, what it leaves, and that the
 * view asks again for what it ended and is still needed, and for nothing else.
 */
import { describe, expect, test } from 'vitest';
import { LAPSES, type Lapse } from '#lib/core/checklist/model.ts';
import { planOf, type Plan } from '#lib/core/job/plan.ts';
import {
  and,
  at,
  does,
  dryer,
  goodResult,
  kiln,
  lamp,
  later,
  METER,
  MINUTE,
  ODE,
  range,
  refused,
  stepsIn,
  walk,
  when,
  type Job,
  type Said,
  lapse,
  both,
} from '../../../support/job-builder.ts';

const opened = (job: Job, said: Said) => stepsIn(and(job, said), 'lapsed');

function lapsedSteps(job: Job): readonly string[] {
  const event = job.events.findLast((each) => each.type === 'fact.lapsed');
  return event?.type === 'fact.lapsed' ? event.body.steps : [];
}

/** A plan with a shelf life of its own on one step. */
function keeping(plan: Plan, step: string, keeps: object): Plan {
  const steps = plan.checklist.steps.map((each) => (each.id === step ? { ...each, keeps } : each));
  return planOf({
    ...plan.checklist,
    id: `${plan.checklist.id}-${step}-${JSON.stringify(keeps)}`,
    steps,
  });
}

interface Row {
  readonly row: Lapse;
  readonly name: string;
  readonly job: () => Job;
  readonly said: Said;
  readonly asked: readonly string[];
  /** Whose view; the lead's when nobody is named. */
  readonly by?: string;
}

const TABLE: readonly Row[] = [
  {
    row: 'leftSight',
    name: 'a locked machine: the proof',
    job: () => at(dryer(), 'wires', both),
    said: lapse('leftSight'),
    asked: ['dead-motor', 'dead-control'],
  },
  {
    row: 'leftSight',
    name: 'a plug that is not locked: its control, and the proof',
    job: () => at(lamp(), 'wires'),
    said: lapse('leftSight'),
    asked: ['unplug', 'dead'],
  },
  {
    row: 'leftSight',
    name: 'over half an hour: briefing and heat too',
    job: () => at(range(), 'wires'),
    said: lapse('leftSight', { minutes: 45 }),
    asked: ['told', 'cool', 'slack', 'unplug', 'dead', 'dead-block'],
  },
  {
    row: 'panelTouched',
    name: 'every proof fed from the panel',
    job: () => at(kiln(), 'wires'),
    said: lapse('panelTouched'),
    asked: ['dead'],
  },
  {
    row: 'reEnergized',
    name: 'everything about that source and the charge it feeds, and not the other source',
    job: () => at(dryer(), 'wires', both),
    said: lapse('reEnergized', { source: 'motor' }),
    asked: ['supply', 'case', 'switch-off', 'switch-lock', 'dead-motor', 'drain'],
  },
  {
    row: 'reEnergized',
    name: 'the other source alone',
    job: () => at(dryer(), 'wires', both),
    said: lapse('reEnergized', { source: 'control' }),
    asked: ['fuse-out', 'fuse-tag', 'dead-control'],
  },
  {
    row: 'moved',
    name: 'props, cord slack, and what a list adds to it',
    job: () => at(dryer(), 'wires', both),
    said: lapse('moved'),
    asked: ['eyes', 'top-up', 'idler'],
  },
  {
    row: 'moved',
    name: 'cord slack while it is still needed',
    job: () => at(kiln(), 'unplug'),
    said: lapse('moved'),
    asked: ['slack'],
  },
  {
    row: 'moved',
    name: 'the raised top of the range',
    job: () => at(range(), 'wires'),
    said: lapse('moved'),
    asked: ['top-up', 'shake'],
  },
  {
    row: 'instrumentDoubt',
    name: 'what the meter read since its last good check',
    job: () => at(kiln(), 'wires'),
    said: lapse('instrumentDoubt', { instrument: METER.id }),
    asked: ['drain'],
  },
  {
    row: 'joined',
    name: 'briefing, roll call, and the lock of who came',
    job: () => at(range(), 'wires'),
    said: { command: 'join', person: ODE },
    by: ODE.id,
    asked: ['told', 'breaker-lock', 'gloves'],
  },
  {
    row: 'handedOver',
    name: 'proof, briefing, plug in sight',
    job: () => and(at(range(), 'wires'), { command: 'join', person: ODE }),
    said: { command: 'handOver', to: ODE.id, lock: 'O-9' },
    by: ODE.id,
    asked: ['told', 'gloves', 'slack', 'unplug', 'dead', 'dead-block'],
  },
  {
    row: 'windowOpened',
    name: 'every proof of that source',
    job: () =>
      and(
        at(dryer(), 'live', both),
        {
          command: 'window',
          source: 'motor',
          reason: 'Voltage under command',
          readBack: 'disconnect 3',
        },
        does('live-volts', { value: '239.4', unit: 'V', instrument: METER.id }),
      ),
    said: { command: 'endWindow' },
    asked: ['supply', 'case', 'switch-off', 'switch-lock', 'dead-motor'],
  },
];

describe('the lapse table', () => {
  test.each(TABLE)('$row: $name', ({ job, said, asked, by }) => {
    expect(stepsIn(and(job(), said), 'lapsed', by)).toEqual(asked);
  });

  test('parked and resumed: every proof, briefing and worn thing', () => {
    const parked = and(at(range(), 'wires'), {
      command: 'park',
      as: 'shut',
      told: 'The tenant',
      owner: 'dispatch',
      until: '2026-12-02',
      left: ['door-strap', 'rear-cover', 'top-screws', 'top-prop'].map((end) => ({
        end,
        insulated: true,
        why: 'Waits for a part',
      })),
    });
    const back = and(parked, { command: 'resume' });
    expect(stepsIn(back, 'lapsed')).toEqual([
      'told',
      'gloves',
      'slack',
      'unplug',
      'dead',
      'dead-block',
    ]);
    // What was measured, found, released and opened is not asked for a second time.
    expect(stepsIn(back, 'done')).toEqual(
      expect.arrayContaining(['count', 'find-breaker', 'cool', 'residual']),
    );
  });

  test('time: the fact that is older than its shelf life, and no other', () => {
    const job = at(dryer(), 'wires', both);
    expect(stepsIn(later(job, 19 * MINUTE), 'lapsed')).toEqual([]);
    // The control feed keeps for 20 minutes, the motor circuit for the 30 of the house.
    expect(stepsIn(later(job, 21 * MINUTE), 'lapsed')).toEqual(['dead-control']);
    expect(stepsIn(later(job, 31 * MINUTE), 'lapsed')).toEqual(['dead-motor', 'dead-control']);
    refused(
      when(later(job, 31 * MINUTE), does('wires', goodResult(job, 'wires'))),
      'stale-proof',
      /time ran out/,
    );
    expect(lapsedSteps(and(job, lapse('time', { step: 'dead-motor' })))).toEqual(['dead-motor']);
    expect(lapsedSteps(and(job, lapse('time')))).toEqual(['dead-motor', 'dead-control']);
  });

  test.each(TABLE.filter(({ row }) => row !== 'instrumentDoubt'))(
    '$row: the way back leads to where the work stood ($name)',
    ({ job, said }) => {
      const step = job().state.frontier;
      const id = job().state.plan.steps[step]?.id ?? '';
      const back = walk(and(job(), said), id);
      expect(back.state.frontier).toBeGreaterThanOrEqual(step);
    },
  );
});

test('a meter in doubt reads again once it was checked on a known source', () => {
  const job = and(at(kiln(), 'wires'), lapse('instrumentDoubt', { instrument: METER.id }));
  const turn = when(job, does('drain', goodResult(job, 'drain')));
  refused(turn, 'instrument', /in doubt since its last good check/);
  const checked = and(turn.job, does('dead', goodResult(job, 'dead')));
  walk(and(checked, does('drain', goodResult(job, 'drain'))), 'element-ohms');
});

test('a prop is seated again before a release that lapsed with it', () => {
  const kept = walk(at(kiln(), 'verdict'), 'rewire', { options: { verdict: 'keep' } });
  const job = and(kept, lapse('moved'), lapse('instrumentDoubt'));
  refused(when(job, does('drain', goodResult(job, 'drain'))), 'stored', /Lid prop/);
  const back = and(job, does('lid-up'), does('dead', goodResult(job, 'dead')));
  walk(back, 'gloves-off');
  // And before one that was corrected and is not done again yet.
  const slip = and(at(kiln(), 'wires'), {
    command: 'correct',
    step: 'drain',
    why: 'Read the wrong pins',
  });
  walk(and(slip, lapse('moved'), does('lid-up')), 'wires');
});

describe('a lapse as it is stated', () => {
  test.each(LAPSES)('%s is a row that can be stated', (what) => {
    const job = and(at(range(), 'wires'), lapse(what));
    expect(job.events.at(-1)?.type).toBe('fact.lapsed');
  });

  test.each(['parked', 'resumed', 'handedOver'] as const)('%s ends what its event ends', (what) => {
    const job = at(range(), 'wires');
    expect(opened(job, lapse(what))).toEqual([
      'told',
      'gloves',
      'slack',
      'unplug',
      'dead',
      'dead-block',
    ]);
  });

  test('a source that came back without a name is every one that could have', () => {
    const job = and(at(dryer(), 'wires', both), lapse('reEnergized'));
    const sources = job.events.flatMap((event) =>
      event.type === 'fact.lapsed' ? [event.body.source] : [],
    );
    expect(sources).toEqual(['motor', 'control', 'gas']);
  });

  test('a meter in doubt without a name is every one that is here', () => {
    const job = and(at(kiln(), 'wires'), lapse('instrumentDoubt'));
    expect(job.state.instruments.map((each) => each.doubted)).toEqual([true]);
    expect(lapsedSteps(job)).toEqual(['drain']);
  });

  test.each([
    ['source', { source: 'sun' }, /There is no source “sun”/],
    ['instrument', { instrument: 'M-0' }, /There is no instrument “M-0”/],
    ['step', { step: 'dusting' }, /There is no step “dusting”/],
  ])('a %s that nobody knows is said', (_, more, says) => {
    const what =
      'source' in more ? 'reEnergized' : 'instrument' in more ? 'instrumentDoubt' : 'time';
    refused(when(at(kiln(), 'wires'), lapse(what, more)), 'bad-input', says);
  });
});

describe('what a checklist adds to the table', () => {
  test('a lock that is good until the machine is out of sight is seen again', () => {
    const plan = keeping(kiln(), 'breaker-lock', { unless: ['leftSight'] });
    const job = and(at(plan, 'wires'), lapse('leftSight'));
    expect(lapsedSteps(job)).toEqual(['breaker-lock', 'unplug', 'dead']);
    refused(when(job, does('dead', goodResult(job, 'dead'))), 'lock-owner', /has to be seen again/);
    expect(stepsIn(job, 'lapsed')).toContain('breaker-lock');
  });

  test('a cut with a shelf life is made again', () => {
    const plan = keeping(kiln(), 'breaker-off', { for: '10 min' });
    const job = later(at(plan, 'wires'), 11 * MINUTE);
    const turn = when(job, does('wires', goodResult(job, 'wires')));
    refused(turn, 'not-dead', /may have been switched on again/);
    expect(lapsedSteps(turn.job)).toContain('breaker-off');
  });

  test('gloves with a shelf life are put on again, counted from the first who wore them', () => {
    const plan = keeping(kiln(), 'gloves', { for: '10 min' });
    const job = later(at(plan, 'cover-off'), 11 * MINUTE);
    refused(when(job, does('cover-off')), 'must-wear');
    expect(stepsIn(job, 'lapsed')).toContain('gloves');
  });

  test.each([
    ['joined', { command: 'join', person: ODE }],
    ['panelTouched', lapse('panelTouched')],
  ] as const)('a statement that ends when %s happens', (what, said) => {
    const plan = keeping(kiln(), 'slack', { unless: [what] });
    expect(stepsIn(and(at(plan, 'unplug'), said as Said), 'lapsed')).toContain('slack');
  });

  test('a source says it for its own proof and release', () => {
    const { checklist } = kiln();
    const sources = {
      ...checklist.sources,
      heat: { ...checklist.sources.heat, keeps: { unless: ['panelTouched'] } },
    };
    const plan = planOf({ ...checklist, id: 'kiln-heat', sources } as typeof checklist);
    expect(lapsedSteps(and(at(plan, 'wires'), lapse('panelTouched')))).toEqual(['cool', 'dead']);
  });
});
