import { describe, expect, test } from 'vitest';
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import { planOf, PROOF_KEEPS_MS, ROLL_CALL_KEEPS_MS } from '#lib/core/job/plan.ts';
import { closesOf } from '#lib/core/job/undoing.ts';
import {
  at,
  dryer,
  kiln,
  lamp,
  MARA,
  METER,
  MINUTE,
  range,
  views,
} from '../../../support/job-builder.ts';

const stepOf = (plan = kiln(), id = '') => plan.steps[plan.stepIndex.get(id) ?? -1];
const sourceOf = (plan = kiln(), id = '') => plan.sources[plan.sourceIndex.get(id) ?? -1];
const keeping = (id: string, keeps: object) => {
  const steps = kiln().checklist.steps.map((step) =>
    step.id === id ? ({ ...step, keeps } as Step) : step,
  );
  return planOf({ ...kiln().checklist, steps });
};

describe('waits', () => {
  test('are R·C·ln(V0/V) of the charge: 470 uF and 100 kohm from 325 V to 10 V', () => {
    // Discharge of a capacitor through a resistor; 47 s times ln 32.5 is 163.615 s.
    expect(sourceOf(kiln(), 'smoothing')?.waitMs).toBe(Math.ceil(47_000 * Math.log(32.5)));
    expect(sourceOf(kiln(), 'mains')?.waitMs).toBe(0);
  });

  test('begin with the feed that the list names, or with every electrical source', () => {
    expect(sourceOf(dryer(), 'start')?.fedBy).toEqual([0]);
    const { from: _, ...start } = dryer().checklist.sources.start ?? { kind: 'charge', label: '' };
    const sources = { ...dryer().checklist.sources, start } as Checklist['sources'];
    expect(sourceOf(planOf({ ...dryer().checklist, sources }), 'start')?.fedBy).toEqual([0, 1]);
  });

  test('of a charge that nothing here feeds count from the opening', () => {
    const { mains: _, ...rest } = kiln().checklist.sources;
    const { from: __, ...smoothing } = rest.smoothing ?? { kind: 'charge', label: '' };
    const steps = kiln()
      .checklist.steps.filter((step) => !('source' in step && step.source === 'mains'))
      .map((step) => ({ ...step, exposes: (step.exposes ?? []).filter((id) => id !== 'mains') }));
    const plan = planOf({
      ...kiln().checklist,
      id: 'kiln-alone',
      sources: { ...rest, smoothing } as Checklist['sources'],
      steps,
    });
    const job = at(plan, 'drain');
    expect(job.state.cutAt).toEqual([0, 0]);
    expect(views(job).sources.find(({ id }) => id === 'smoothing')?.wait?.totalMs).toBeGreaterThan(
      0,
    );
  });

  test('that cannot be computed are none; the loader refuses such a list', () => {
    const sources = {
      ...kiln().checklist.sources,
      smoothing: { ...kiln().checklist.sources.smoothing, nominal: '?' },
    };
    expect(
      sourceOf(planOf({ ...kiln().checklist, sources } as Checklist), 'smoothing')?.waitMs,
    ).toBe(0);
  });
});

describe('shelf lives', () => {
  test('are the standing ones, or shorter', () => {
    expect(stepOf(kiln(), 'dead')?.keepsMs).toBe(PROOF_KEEPS_MS);
    expect(stepOf(dryer(), 'dead-control')?.keepsMs).toBe(20 * MINUTE);
    expect(stepOf(kiln(), 'clear')?.keepsMs).toBe(ROLL_CALL_KEEPS_MS);
    expect(stepOf(keeping('clear', { for: '2 min' }), 'clear')?.keepsMs).toBe(2 * MINUTE);
    expect(stepOf(keeping('clear', { for: '3 h' }), 'clear')?.keepsMs).toBe(ROLL_CALL_KEEPS_MS);
    expect(stepOf(keeping('dead', { for: '2 h' }), 'dead')?.keepsMs).toBe(PROOF_KEEPS_MS);
    expect(stepOf(keeping('slack', { for: '5 min' }), 'slack')?.keepsMs).toBe(5 * MINUTE);
    expect(stepOf(keeping('slack', { for: 'a while' }), 'slack')?.keepsMs).toBe(0);
    expect(stepOf(kiln(), 'gloves')?.keepsMs).toBe(0);
  });

  test('of a source hold for its release too', () => {
    const heat = { ...kiln().checklist.sources.heat, keeps: { for: '15 min', unless: ['moved'] } };
    const plan = planOf({
      ...kiln().checklist,
      sources: { ...kiln().checklist.sources, heat },
    } as Checklist);
    expect(stepOf(plan, 'cool')).toMatchObject({ keepsMs: 15 * MINUTE, unless: ['moved'] });
    expect(stepOf(range(), 'shake')?.unless).toEqual(['moved']);
  });
});

describe('what each step asks of the machine', () => {
  test('hands, and the sources that ohms want dead', () => {
    const hands = kiln()
      .steps.filter((step) => step.hands)
      .map(({ id }) => id);
    expect(hands).toContain('unplug');
    expect(hands).not.toContain('breaker-off');
    expect(stepOf(kiln(), 'element-ohms')?.wantsDead).toEqual([0]);
    expect(stepOf(dryer(), 'winding')?.wantsDead).toEqual([0, 1]);
    expect(stepOf(range(), 'bond')?.wantsDead).toEqual([0]);
    expect(stepOf(kiln(), 'heats')?.wantsDead).toEqual([]);
    expect(stepOf(dryer(), 'live-volts')?.wantsDead).toEqual([]);
  });

  test('ohms that name no source want every provable one dead', () => {
    const steps = dryer().checklist.steps.map((step) =>
      step.id === 'winding' ? ({ ...step, exposes: [] } as Step) : step,
    );
    expect(stepOf(planOf({ ...dryer().checklist, steps }), 'winding')?.wantsDead).toEqual([0, 1]);
  });

  test('the ends that a window leaves open are left open for its roll call and its lock alone', () => {
    const front = 1;
    expect(stepOf(dryer(), 'live')?.stillOpen).toBe(front);
    expect(stepOf(dryer(), 'clear-live')?.stillOpen).toBe(front);
    expect(stepOf(dryer(), 'switch-unlock')?.stillOpen).toBe(front);
    for (const id of ['clear', 'gas-unlock', 'switch-unlock-last', 'front-on', 'gas-on']) {
      expect(stepOf(dryer(), id)?.stillOpen).toBe(0);
    }
    const steps = dryer().checklist.steps.flatMap((step): Step[] => {
      if (step.id !== 'live') return [step];
      const other: Step = {
        id: 'fuse-early',
        phase: 'work',
        do: 'unlock',
        source: 'control',
        point: 'fuse',
        say: 'x',
      };
      return [other, step];
    });
    expect(stepOf(planOf({ ...dryer().checklist, steps }), 'fuse-early')?.stillOpen).toBe(0);
  });

  test('neighbours that stand together wait for the same step', () => {
    expect(stepOf(dryer(), 'gloves')?.after).toBe(stepOf(dryer(), 'eyes')?.index);
  });

  test('two hands are for what a person does not do alone anyhow', () => {
    const steps = kiln().checklist.steps.map((step) => ({ ...step, twice: true }) as Step);
    const plan = planOf({ ...kiln().checklist, steps });
    expect(plan.steps.filter((step) => !step.twice).map((step) => step.do)).toEqual([
      ...['lock', 'wear', 'disconnect', 'reseat', 'wear', 'clear', 'unlock'],
    ]);
  });

  test('an end is closed by the steps that close it, and nothing else is', () => {
    expect(closesOf(lamp(), stepOf(lamp(), 'base-off'))).toEqual([
      stepOf(lamp(), 'base-on')?.index,
    ]);
    expect(closesOf(lamp(), stepOf(lamp(), 'count'))).toEqual([]);
    expect(closesOf(lamp(), undefined)).toEqual([]);
  });

  test('an outcome that is asked of no step that there is, and a word of one', () => {
    const steps = kiln().checklist.steps.map((step) =>
      step.id === 'fit' ? { ...step, when: { verdict: 'replace', ghost: 'x' } } : step,
    );
    expect(stepOf(planOf({ ...kiln().checklist, steps }), 'fit')?.when).toEqual([
      { step: stepOf(kiln(), 'verdict')?.index, options: ['replace'] },
    ]);
  });
});

test('the lists of the tests are opened by who may open them', () => {
  for (const plan of [kiln(), lamp(), range(), dryer()]) {
    for (const wanted of plan.checklist.competence) expect(MARA.competence).toContain(wanted);
    expect(METER.category).toBe('CAT III');
  }
});
