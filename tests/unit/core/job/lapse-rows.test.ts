/**
 * Which facts each row of the standing table names in the record: all that stand and that the row ends, none
 * beside them. The rows are those of the checklist format ("Facts, gates, shelf life") and of the trade
 * reference ("What lapses on what"); the lists here name no lapse of their own, so that the table alone speaks.
 */
import { describe, expect, test } from 'vitest';
import type { Step } from '#lib/core/checklist/model.ts';
import { planOf, type Plan } from '#lib/core/job/plan.ts';
import {
  accepted,
  and,
  at,
  does,
  dryer,
  kiln,
  MARA,
  METER,
  ODE,
  open,
  range,
  unopened,
  walk,
  when,
  type Job,
  type Said,
  lapse,
  both,
} from '../../../support/job-builder.ts';

/** What the newest lapse of this job ended, as its record says. */
function ended(job: Job, said: Said): readonly string[] {
  const event = and(job, said).events.findLast((each) => each.type === 'fact.lapsed');
  return event?.type === 'fact.lapsed' ? event.body.steps : [];
}

const told: Step = { id: 'told', phase: 'arrive', do: 'tell', say: 'Tell the keeper what is off.' };
const findPlug: Step = {
  id: 'find-plug',
  phase: 'isolate',
  do: 'find',
  source: 'mains',
  point: 'plug',
  say: 'Find the plug of the kiln.',
};
const warmth: Step = {
  id: 'warmth',
  phase: 'isolate',
  do: 'reading',
  source: 'heat',
  quantity: 'temperature',
  say: 'Measure the air above the chamber.',
};

/** The kiln with a briefing, a plug that is looked for and a second figure of the heat; nothing `unless`. */
const bare: Plan = (() => {
  const { checklist } = kiln();
  const steps = checklist.steps.flatMap((step): Step[] => {
    if (step.id === 'case') return [told, step];
    if (step.id !== 'slack') return step.id === 'cool' ? [step, warmth] : [step];
    const { keeps, ...plain } = step;
    void keeps;
    return [findPlug, plain as Step];
  });
  const fit = (step: Step): Step =>
    step.id === 'wires' ? { ...step, needs: ['warmth', 'find-plug'] } : step;
  return planOf({ ...checklist, id: 'kiln-bare', steps: steps.map(fit) });
})();

interface Row {
  readonly name: string;
  readonly job: () => Job;
  readonly said: Said;
  readonly ends: readonly string[];
}

const onKiln = (name: string, said: Said, ends: readonly string[]): Row => ({
  name,
  job: () => at(bare, 'wires'),
  said,
  ends,
});
const onDryer = (name: string, step: string, said: Said, ends: readonly string[]): Row => ({
  name,
  job: () => at(dryer(), step, both),
  said,
  ends,
});

const ROWS: readonly Row[] = [
  onKiln('out of sight: the proof, and the plug that is not locked', lapse('leftSight'), [
    'unplug',
    'dead',
  ]),
  onKiln('29 minutes are no long absence', lapse('leftSight', { minutes: 29 }), ['unplug', 'dead']),
  onKiln('half an hour away: briefing and heat too', lapse('leftSight', { minutes: 30 }), [
    'told',
    'unplug',
    'cool',
    'dead',
  ]),
  onDryer('away for long ends no pressure, spring or charge by itself', 'wires', longAway(), [
    'brief',
    'dead-motor',
    'dead-control',
  ]),
  onKiln('the panel was touched: the proof alone', lapse('panelTouched'), ['dead']),
  onKiln('the machine was moved: the prop, not the cover', lapse('moved'), ['lid-up']),
  {
    name: 'the machine was moved with its prop down again: nothing',
    job: () => at(bare, 'cover-on'),
    said: lapse('moved'),
    ends: [],
  },
  onKiln('a meter in doubt: what it read and no more', lapse('instrumentDoubt', meter(METER.id)), [
    'drain',
  ]),
  onDryer('a source came back: all about it, and the charge it feeds', 'wires', back('motor'), [
    'case',
    'switch-off',
    'switch-lock',
    'dead-motor',
    'drain',
  ]),
  onDryer('the other feed came back: what is its own', 'wires', back('control'), [
    'fuse-out',
    'fuse-tag',
    'dead-control',
  ]),
  onDryer('gas came back: cock, lock and pressure', 'wires', back('gas'), [
    'gas-off',
    'gas-lock',
    'bleed',
  ]),
  onDryer('a source came back after the roll call: that, too', 'gas-unlock', back('control'), [
    'fuse-out',
    'fuse-tag',
    'dead-control',
    'clear',
  ]),
  onKiln('somebody joined: the briefing', lapse('joined'), ['told']),
  {
    name: 'somebody joined after the roll call: both',
    job: () => at(bare, 'lock-off'),
    said: lapse('joined'),
    ends: ['told', 'clear'],
  },
  ...(['parked', 'resumed', 'handedOver'] as const).map((what) =>
    onKiln(`${what}: proof, briefing, what is worn, the plug in hand`, lapse(what), [
      'told',
      'gloves',
      'unplug',
      'dead',
    ]),
  ),
  {
    name: 'handed over after the roll call: that, too',
    job: () => at(bare, 'lock-off'),
    said: lapse('handedOver'),
    ends: ['told', 'unplug', 'dead', 'clear'],
  },
  onDryer('a live window: every proof of that source', 'wires', window('motor'), ['dead-motor']),
  onDryer('a live window on the other source', 'wires', window('control'), ['dead-control']),
  onDryer('a live window without a name: every proof', 'wires', lapse('windowOpened'), [
    'dead-motor',
    'dead-control',
  ]),
];

function meter(instrument: string) {
  return { instrument };
}
function longAway(): Said {
  return lapse('leftSight', { minutes: 45 });
}
function back(source: string): Said {
  return lapse('reEnergized', { source });
}
function window(source: string): Said {
  return lapse('windowOpened', { source });
}

describe('each row names what it ends', () => {
  test.each(ROWS)('$name', ({ job, said, ends }) => {
    expect(ended(job(), said)).toEqual(ends);
  });
});

test('a meter in doubt says nothing of what another one read', () => {
  const second = { ...METER, id: 'meter-5' };
  const opened = { ...open(), instruments: [METER, second] } as Said;
  const job = walk(accepted(when(unopened(kiln()), opened)), 'wires');
  expect(ended(job, lapse('instrumentDoubt', meter(second.id)))).toEqual([]);
  expect(ended(job, lapse('instrumentDoubt', meter(METER.id)))).toEqual(['drain']);
});

test('a source that came back ends no figure that was measured of the charge it feeds', () => {
  const figure: Step = {
    id: 'microfarads',
    phase: 'open',
    do: 'reading',
    source: 'start',
    quantity: 'capacitance',
    say: 'Measure the start capacitor.',
  };
  const steps = dryer().checklist.steps.flatMap((step): Step[] => {
    if (step.id === 'wires') return [{ ...step, needs: ['microfarads'] }];
    return step.id === 'top-up' ? [figure, step] : [step];
  });
  const plan = planOf({ ...dryer().checklist, id: 'dryer-figure', steps });
  const job = at(plan, 'wires', both);
  expect(ended(job, back('motor'))).toContain('drain');
  expect(ended(job, back('motor'))).not.toContain('microfarads');
});

test('what a list adds to a row is named once it stands, and not before', () => {
  const steps = kiln().checklist.steps.map((step) =>
    step.id === 'count' || step.id === 'fit'
      ? ({ ...step, keeps: { unless: ['instrumentDoubt'] } } as Step)
      : step,
  );
  const plan = planOf({ ...kiln().checklist, id: 'kiln-doubted', steps });
  expect(ended(at(plan, 'wires'), lapse('instrumentDoubt', meter(METER.id)))).toEqual([
    'count',
    'drain',
  ]);
});

describe('what there is outlasts the mark of its step', () => {
  test('the lock of a second person still hangs when the first has taken theirs off', () => {
    const job = at(dryer(), 'switch-unlock-last', both);
    const one = and(job, does('switch-unlock-last', {}, MARA.id));
    expect(one.state.locks.map(({ owner }) => owner)).toEqual([ODE.id]);
    expect(ended(one, back('motor'))).toContain('switch-lock');
  });

  test('a lock that has to be seen again does not end a second time', () => {
    const once = and(at(dryer(), 'wires', both), back('motor'));
    expect(ended(once, back('motor'))).not.toContain('switch-lock');
  });

  test('the lock that the firm left is none of those who work', () => {
    const left = ['rear-cover', 'lid-prop'].map((end) => ({ end, insulated: true, why: 'A part' }));
    const parked = and(at(kiln(), 'wires'), {
      command: 'park',
      as: 'shut',
      told: 'The studio keeper',
      owner: 'dispatch',
      until: '2026-12-02',
      lock: 'F-1',
      left,
    });
    expect(ended(at(kiln(), 'wires'), back('mains'))).toContain('breaker-lock');
    expect(ended(parked, back('mains'))).not.toContain('breaker-lock');
  });

  test('what nobody wears any more does not end a second time', () => {
    const once = and(at(range(), 'wires'), lapse('parked'));
    expect(ended(at(range(), 'wires'), lapse('parked'))).toContain('gloves');
    expect(ended(once, lapse('resumed'))).not.toContain('gloves');
    expect(ended(once, lapse('resumed'))).not.toContain('unplug');
  });
});
