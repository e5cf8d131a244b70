/**
 * The parts of the gates, one by one: each condition of a standing interlock decides by itself somewhere. What
 * is asked for is said by the properties P1, P2, P8, P11 and by the order of a list, not by the engine.
 */
import { describe, expect, test } from 'vitest';
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import type { Block } from '#lib/core/job/block.ts';
import { stepBlocks } from '#lib/core/job/gates.ts';
import { planOf, type Plan, type PlanStep } from '#lib/core/job/plan.ts';
import { PART, SETTLED, type JobState } from '#lib/core/job/state.ts';
import {
  and,
  at,
  does,
  dryer,
  given,
  goodResult,
  kiln,
  lamp,
  later,
  MARA,
  MINUTE,
  ODE,
  PIP,
  refused,
  walk,
  when,
  type Job,
  lapse,
} from '../../../support/job-builder.ts';

function blocks(state: JobState, step: string, by = MARA.id): readonly Block[] {
  const own = state.plan.steps[state.plan.stepIndex.get(step) ?? -1] as PlanStep;
  return stepBlocks(state, own, by);
}
const keys = (job: Job, step: string, by?: string) =>
  blocks(job.state, step, by).map(({ key }) => key);

function listOf(base: Plan, id: string, change: (step: Step) => readonly Step[], more = {}): Plan {
  const { checklist } = base;
  return planOf({ ...checklist, ...more, id, steps: checklist.steps.flatMap(change) } as Checklist);
}
const index = (plan: Plan, step: string) => plan.stepIndex.get(step) ?? -1;

describe('the case before hands', () => {
  const plan = listOf(kiln(), 'kiln-brief-case', (step) => [
    step.id === 'case' ? ({ ...step, keeps: { for: '10 min' } } as Step) : step,
  ]);

  test('is asked again with the points open and nothing proved yet', () => {
    const job = later(at(plan, 'cool'), 11 * MINUTE);
    refused(when(job, does('cool', goodResult(job, 'cool'))), 'case-unknown');
  });

  test('needs no second reading once the source is proved dead', () => {
    const job = later(at(plan, 'wires'), 11 * MINUTE);
    and(job, does('wires', goodResult(job, 'wires')));
  });

  test('is asked again when the proof is gone as well', () => {
    const job = and(later(at(plan, 'wires'), 11 * MINUTE), lapse('panelTouched'));
    refused(when(job, does('wires', goodResult(job, 'wires'))), 'case-unknown');
  });
});

describe('a briefing', () => {
  const told = (id: string, phase: Step['phase'], more: object = {}): Step =>
    ({ id, phase, do: 'tell', say: 'Tell whoever is here.', ...more }) as Step;

  test('that an outcome ruled out is asked of nobody', () => {
    const plan = listOf(kiln(), 'kiln-told-sometimes', (step) =>
      step.id === 'rewire'
        ? [told('told', 'refit', { when: { verdict: 'replace' } }), step]
        : [step],
    );
    const job = walk(at(plan, 'verdict'), 'rewire', { options: { verdict: 'keep' } });
    expect(keys(job, 'rewire')).not.toContain('brief');
    and(job, does('rewire', { connector: 'w1' }));
  });

  test('that comes later is not asked of what is done before it', () => {
    const plan = listOf(kiln(), 'kiln-told-later', (step) =>
      step.id === 'cover-on' ? [step, told('told', 'refit')] : [step],
    );
    const job = and(at(plan, 'gloves-off'), { command: 'join', person: ODE });
    expect(keys(job, 'plug-in')).toContain('brief');
    expect(keys(job, 'lid-down')).not.toContain('brief');
  });
});

/** Wires off twice, each time put back by the next step. */
const twoRounds = listOf(kiln(), 'kiln-two-rounds', (step) => {
  if (step.id !== 'lid-down') return [step];
  const again = kiln().checklist.steps.filter(({ id }) => id === 'wires' || id === 'rewire');
  return [...again.map((each) => ({ ...each, id: `${each.id}-2`, phase: 'refit' }) as Step), step];
});

describe('wires that were taken off in a second round', () => {
  const first = at(twoRounds, 'wires-2');
  const job = and(
    first,
    does('wires-2', { connectors: [{ id: 'w9', label: 'w9', terminal: 'T' }] }),
  );

  test('are put back by the step after them, not by the one before', () => {
    expect(keys(job, 'rewire')).toContain('alreadyDone');
    expect(keys(job, 'rewire-2')).not.toContain('alreadyDone');
    const open = blocks(job.state, 'clear').filter(({ key }) => key === 'openConnector');
    expect(open.map(({ clears }) => clears)).toEqual([[index(twoRounds, 'rewire-2')]]);
  });

  test('are put back by the first one when they belong to the first round', () => {
    const more = [{ id: 'w3', label: 'w3', terminal: 'w3' }];
    expect(keys(first, 'rewire')).toContain('alreadyDone');
    const off = and(first, does('wires', { connectors: more }));
    and(off, does('rewire', { connector: 'w3' }));
  });

  test('free no contacts that are read before them', () => {
    const pre: Step = {
      id: 'pre',
      phase: 'work',
      do: 'contacts',
      terminals: 2,
      rest: 'open',
      limit: 'default',
      say: 'Read the switch.',
    };
    const plan = listOf(lamp(), 'lamp-pre', (step) => (step.id === 'wires' ? [pre, step] : [step]));
    const state = at(lamp(), 'switch').state;
    const moved = state.connectors.map((each) => ({ ...each, step: index(plan, 'wires') }));
    const other = { ...at(plan, 'pre').state, connectors: moved };
    expect(moved.some(({ open }) => open)).toBe(true);
    expect(blocks(other, 'pre').map(({ key }) => key)).toContain('nothingOff');
    const found = blocks(other, 'pre').find(({ key }) => key === 'nothingOff');
    expect(found?.args).toEqual({ step: 'disconnect' });
  });
});

test('only what is open is named as open', () => {
  const found = blocks(at(kiln(), 'cover-on').state, 'clear').filter(
    ({ key }) => key === 'openEnd',
  );
  expect(found.map(({ args }) => args)).toEqual([{ end: 'Rear cover' }]);
});

describe('the order', () => {
  const peek = (id: string): Step => ({
    id,
    phase: 'finish',
    do: 'open',
    end: 'rear-cover',
    say: 'Look once more.',
  });
  const plan = listOf(kiln(), 'kiln-second-look', (step) =>
    step.id === 'heats' ? [peek('look'), step] : [step],
  );

  test('lets nothing open what another step has opened before its turn', () => {
    expect(keys(at(plan, 'wires'), 'look')).toContain('order');
  });

  test('is the same for a cover that was shut, though it stands open again', () => {
    const job = at(kiln(), 'wires');
    const at_ = index(kiln(), 'cover-on');
    const marks = job.state.marks.map((mark, each) => (each === at_ ? SETTLED : mark));
    expect(blocks({ ...job.state, marks }, 'cover-on').map(({ key }) => key)).toContain('order');
  });
});

describe('what was done is not done again', () => {
  test('a cut that holds', () => {
    expect(keys(at(kiln(), 'cool'), 'unplug')).toContain('alreadyDone');
    expect(keys(at(kiln(), 'cool'), 'breaker-off')).toContain('alreadyDone');
  });

  test('a source that is back', () => {
    expect(keys(at(kiln(), 'heats'), 'power')).toContain('alreadyDone');
  });

  test('a restoration that the first of two hands has made waits for the second', () => {
    const twice = listOf(kiln(), 'kiln-power-twice', (step) => [
      step.id === 'power' ? { ...step, twice: true } : step,
    ]);
    const job = and(
      at(twice, 'power', [MARA, ODE]),
      does('power', goodResult(at(twice, 'power', [MARA, ODE]), 'power')),
    );
    expect((job.state.marks[index(twice, 'power')] ?? 0) & PART).toBe(PART);
    expect(keys(job, 'power')).toEqual(['alreadyMine']);
    expect(keys(job, 'power', ODE.id)).toEqual([]);
  });
});

test('a proof that a step needs by name is asked for once, not twice', () => {
  const plan = listOf(kiln(), 'kiln-need-once', (step) => [
    step.id === 'verdict' ? { ...step, needs: ['dead'] } : step,
  ]);
  const job = and(at(plan, 'verdict'), lapse('panelTouched'));
  expect(keys(job, 'verdict')).toEqual(['proofStale']);
});

test('a point with a lock is not asked who keeps it in sight', () => {
  const plan = listOf(dryer(), 'dryer-no-gas-lock', (step) =>
    step.id === 'gas-lock' ? [] : [step],
  );
  const job = at(plan, 'bleed', [MARA, ODE]);
  expect(keys(job, 'front-off')).toContain('ownLock');
  expect(keys(job, 'front-off')).not.toContain('noHolder');
});

test('a charge that nothing here feeds falls from the opening of the job on', () => {
  const { checklist } = kiln();
  const { smoothing } = checklist.sources;
  const { from, ...alone } = smoothing as NonNullable<typeof smoothing>;
  void from;
  const steps = checklist.steps
    .filter(({ id }) => ['count', 'drain', 'clear', 'done'].includes(id))
    .map((step) => {
      const { exposes, ...plain } = step;
      void exposes;
      return plain as Step;
    });
  const plan = planOf({
    ...checklist,
    id: 'charge-alone',
    sources: { charge: alone },
    steps: steps.map((step) => (step.do === 'release' ? { ...step, source: 'charge' } : step)),
  } as Checklist);
  const job = and(given(plan), does('count', { sources: 1 }));
  const early = refused(when(job, does('drain', goodResult(job, 'drain'))), 'wait');
  expect(early.remaining).toBeGreaterThan(0);
  const waited = later(job, early.remaining ?? 0);
  and(waited, does('drain', goodResult(waited, 'drain')));
});

describe('who is authorized for nothing', () => {
  const came = (step: string) => and(at(kiln(), step), { command: 'join', person: PIP });

  test.each([
    ['opens nothing', 'cover-off'],
    ['cuts nothing', 'breaker-off'],
    ['proves nothing', 'dead'],
    ['tests no case', 'case-again'],
    ['brings no power back', 'power'],
    ['takes no wire off', 'wires'],
  ])('%s', (_, step) => {
    expect(keys(came(step), step, PIP.id)).toContain('competence');
  });

  test('may state, look and wear', () => {
    for (const step of ['slack', 'gloves', 'heats'])
      expect(keys(came(step), step, PIP.id)).not.toContain('competence');
  });
});

test('a statement of the arrival that lapsed is no supply that nobody measured', () => {
  const plan = listOf(kiln(), 'kiln-arrival', (step) => {
    if (step.id === 'count') return [{ ...step, keeps: { unless: ['moved'] } } as Step];
    return [step.id === 'verdict' ? { ...step, needs: ['count'] } : step];
  });
  const job = and(at(plan, 'verdict'), lapse('moved'));
  expect(keys(job, 'verdict')).toContain('need');
  expect(keys(job, 'verdict')).not.toContain('supplyUnknown');
});

test('contacts want their wires off now, not once', () => {
  expect(keys(at(lamp(), 'switch'), 'switch')).not.toContain('nothingOff');
  expect(keys(at(lamp(), 'base-on'), 'switch')).toContain('nothingOff');
});

describe('an end that stands open', () => {
  test('is not opened again, be it a prop that holds or a cover that was named anew', () => {
    const plan = listOf(kiln(), 'kiln-cover-again', (step) => {
      if (step.id === 'cover-off') return [{ ...step, keeps: { unless: ['moved'] } } as Step];
      return [step.id === 'verdict' ? { ...step, needs: ['cover-off'] } : step];
    });
    expect(keys(and(at(plan, 'wires'), lapse('moved')), 'cover-off')).toContain('endOpen');
    expect(keys(at(kiln(), 'wires'), 'lid-up')).toContain('endOpen');
    expect(keys(and(at(kiln(), 'wires'), lapse('moved')), 'lid-up')).not.toContain('endOpen');
  });
});

test('the points of another source are restored in an order of their own', () => {
  const job = at(dryer(), 'gas-on', [MARA, ODE]);
  expect(keys(job, 'switch-on')).toEqual(['order']);
  expect(keys(at(kiln(), 'plug-in'), 'power')).toContain('restoreOrder');
});

test('a lock that is off already is a matter of its owner, and not of doing a step twice', () => {
  expect(keys(at(kiln(), 'plug-in'), 'lock-off')).toEqual(['noLockHere']);
});

test('a roll call that is over is asked for by name', () => {
  const live = and(at(dryer(), 'switch-unlock', [MARA, ODE]), { command: 'join', person: PIP });
  const before = blocks(live.state, 'switch-unlock').find(({ key }) => key === 'clearStale');
  expect(before?.args).toEqual({ step: 'clear-live' });
  const job = and(at(kiln(), 'lock-off'), { command: 'join', person: ODE });
  const found = blocks(job.state, 'lock-off').find(({ key }) => key === 'clearStale');
  expect(found).toMatchObject({ args: { step: 'clear' }, clears: [index(kiln(), 'clear')] });
  const none = listOf(kiln(), 'kiln-no-roll', (step) => (step.id === 'clear' ? [] : [step]));
  const bare = blocks(at(none, 'lock-off').state, 'lock-off');
  expect(bare.find(({ key }) => key === 'clearStale')).toMatchObject({
    args: { step: 'clear' },
    clears: [],
  });
});
