/**
 * What is asked again after a lapse, and what has served: "only for the facts that lapsed" and that something
 * ahead still rests on (the trade reference, "A proof of dead goes stale"). One way of asking at a time.
 */
import { describe, expect, test } from 'vitest';
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import { planOf, type Plan } from '#lib/core/job/plan.ts';
import {
  and,
  at,
  does,
  kiln,
  refused,
  stepsIn,
  walk,
  when,
  lapse,
} from '../../../support/job-builder.ts';
import { lampOutside } from '../../../support/refusal-case.ts';

function listOf(id: string, change: (step: Step) => readonly Step[], more: object = {}): Plan {
  const { checklist } = kiln();
  return planOf({ ...checklist, ...more, id, steps: checklist.steps.flatMap(change) } as Checklist);
}

/** Something that is stated, and stands until the machine is moved. */
const stated = (id: string, phase: Step['phase'], more: object = {}): Step =>
  ({
    id,
    phase,
    do: 'confirm',
    states: 'It is so',
    say: 'See that it is so.',
    ...more,
  }) as Step;
const needing = (step: Step): Step => ({ ...step, needs: ['firm'] });
const untilMoved = { keeps: { unless: ['moved'] } };

test('contacts that expose nobody ask for the proof again, and nothing after them does', () => {
  expect(stepsIn(and(at(lampOutside, 'switch'), lapse('panelTouched')), 'lapsed')).toEqual([
    'dead',
  ]);
  expect(stepsIn(and(at(lampOutside, 'rewire'), lapse('panelTouched')), 'lapsed')).toEqual([]);
});

describe('what a step needs that needs something itself', () => {
  /* The last one is needed by a step that is still to come; each needs the one before. */
  const plan = listOf('kiln-chain', (step) => {
    if (step.id === 'find-breaker')
      return [
        stated('level', 'isolate', untilMoved),
        stated('braced', 'isolate', { needs: ['level'], keeps: { unless: ['panelTouched'] } }),
        step,
      ];
    return [step.id === 'verdict' ? { ...step, needs: ['braced'] } : step];
  });
  const job = at(plan, 'wires');

  test('has served while what rests on it stands', () => {
    expect(stepsIn(and(job, lapse('moved')), 'lapsed')).not.toContain('level');
  });

  test('is asked again with it', () => {
    const asked = stepsIn(and(job, lapse('moved'), lapse('panelTouched')), 'lapsed');
    expect(asked).toEqual(expect.arrayContaining(['level', 'braced']));
    const first = when(and(job, lapse('moved'), lapse('panelTouched')), does('braced'));
    expect(refused(first, 'order', /“level”/).clears).toEqual(['level']);
  });
});

describe('what a cut or a lock needs', () => {
  const plan = listOf('kiln-slack-first', (step) => {
    if (step.id === 'breaker-off')
      return [
        stated('quiet', 'isolate', untilMoved),
        stated('seen', 'isolate', untilMoved),
        { ...step, needs: ['quiet'] },
      ];
    return [step.id === 'breaker-lock' ? { ...step, needs: ['seen'] } : step];
  });
  const moved = and(at(plan, 'wires'), lapse('moved'));

  test('has served while the cut and the lock stand', () => {
    expect(stepsIn(moved, 'lapsed')).not.toContain('quiet');
    expect(stepsIn(moved, 'lapsed')).not.toContain('seen');
  });

  test('is asked again when the source came back', () => {
    const asked = stepsIn(and(moved, lapse('reEnergized', { source: 'mains' })), 'lapsed');
    expect(asked).toEqual(expect.arrayContaining(['quiet', 'breaker-off', 'seen', 'breaker-lock']));
  });

  test('is asked again for a lock that has to be seen again', () => {
    const keeps = { unless: ['moved'] };
    const steps = plan.checklist.steps.map((step) =>
      step.id === 'breaker-lock' ? ({ ...step, keeps } as Step) : step,
    );
    const unsure = planOf({ ...plan.checklist, id: 'kiln-lock-moved', steps });
    const asked = stepsIn(and(at(unsure, 'wires'), lapse('moved')), 'lapsed');
    expect(asked).toEqual(expect.arrayContaining(['seen', 'breaker-lock']));
    expect(asked).not.toContain('quiet');
  });

  test('has served when nothing ahead exposes anybody to that source', () => {
    const after = and(at(plan, 'clear'), lapse('moved'));
    const back = and(after, lapse('reEnergized', { source: 'mains' }));
    const asked = stepsIn(back, 'lapsed');
    expect(asked).not.toContain('seen');
    expect(asked).not.toContain('breaker-lock');
  });
});

test('what a prop needs is asked again with the prop, and has served while it holds', () => {
  const plan = listOf('kiln-prop-needs', (step) =>
    step.id === 'lid-up'
      ? [stated('firm', 'open', { keeps: { unless: ['moved', 'panelTouched'] } }), needing(step)]
      : [step],
  );
  const job = at(plan, 'wires');
  expect(stepsIn(and(job, lapse('moved')), 'lapsed')).toEqual(['firm', 'lid-up']);
  expect(stepsIn(and(job, lapse('panelTouched')), 'lapsed')).not.toContain('firm');
});

describe('two props that are up at once', () => {
  const second: Step = {
    id: 'flap-up',
    phase: 'open',
    do: 'open',
    end: 'flap-prop',
    exposes: ['heat'],
    say: 'Raise the flap onto its prop.',
  };
  const down: Step = {
    id: 'flap-down',
    phase: 'refit',
    do: 'close',
    end: 'flap-prop',
    say: 'Lower the flap off its prop.',
  };
  const ends = {
    ...kiln().checklist.ends,
    'flap-prop': { label: 'Flap prop', kind: 'prop' },
  };
  const plan = listOf(
    'kiln-two-props',
    (step) => {
      if (step.id === 'lid-up') return [step, second];
      if (step.id !== 'lid-down') return [step];
      const { exposes, ...plain } = step;
      void exposes;
      return [down, plain as Step];
    },
    { ends },
  );

  test('are shaken again while work under them is ahead', () => {
    const job = and(at(plan, 'wires'), lapse('moved'));
    expect(stepsIn(job, 'lapsed')).toEqual(['lid-up', 'flap-up']);
  });

  test('do not ask for one another once the work is done', () => {
    const job = and(at(plan, 'flap-down'), lapse('moved'));
    expect(stepsIn(job, 'lapsed')).toEqual([]);
    refused(when(job, does('flap-up')), 'order', /is open already/);
    walk(job, 'cover-on');
  });
});
