/** One step at a time: left out with a reason, put right, done by two, in any order, ruled out by a choice. */
import { describe, expect, test } from 'vitest';
import { planOf, type Plan } from '#lib/core/job/plan.ts';
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import {
  and,
  at,
  close,
  does,
  dryer,
  finished,
  given,
  goodResult,
  kiln,
  lamp,
  MARA,
  METER,
  ODE,
  range,
  refused,
  refusedOnly,
  stepOf,
  stepsIn,
  views,
  walk,
  when,
  type Job,
  type Said,
  both,
} from '../../../support/job-builder.ts';

const correct = (step: string, why = 'A slip of the thumb'): Said => ({
  command: 'correct',
  step,
  why,
});
const leaveOut = (step: string, why = 'The tester is not here'): Said => ({
  command: 'notDone',
  step,
  why,
});
const good = (job: Job, step: string, by = MARA.id) => does(step, goodResult(job, step, by), by);

/** A plan with some of its steps changed. */
function changed(plan: Plan, id: string, change: (step: Step) => Step): Plan {
  const checklist: Checklist = { ...plan.checklist, id, steps: plan.checklist.steps.map(change) };
  return planOf(checklist);
}
const twice =
  (...ids: string[]) =>
  (step: Step) =>
    ids.includes(step.id) ? { ...step, twice: true } : step;

describe('not done, because', () => {
  test('one word of why settles what may be left out, and it may be done after all', () => {
    const job = and(at(dryer(), 'air', both), leaveOut('air'));
    expect(stepOf(job, 'air')).toMatchObject({
      state: 'notDone',
      fact: { why: 'The tester is not here' },
    });
    expect(views(job).current?.id).toBe('centrifugal');
    expect(stepOf(and(job, good(job, 'air')), 'air').state).toBe('done');
  });

  test('not without a reason, not twice, not before its place', () => {
    const job = at(dryer(), 'air', both);
    refused(when(job, leaveOut('air', ' ')), 'bad-input', /Say why/);
    refused(when(and(job, leaveOut('air')), leaveOut('air')), 'order', /“air” is done/);
    refused(when(at(dryer(), 'winding', both), leaveOut('air')), 'order', /“winding” comes first/);
    refused(when(job, leaveOut('nothing')), 'bad-input', /There is no step “nothing”/);
  });

  test('what was never opened is never closed', () => {
    const plan = changed(kiln(), 'kiln-lid', (step) =>
      step.id === 'lid-up' ? { ...step, optional: true } : step,
    );
    const job = and(at(plan, 'lid-up'), leaveOut('lid-up', 'The element is reached from behind'));
    expect(stepOf(job, 'lid-down')).toMatchObject({
      state: 'notDone',
      fact: { why: 'Lid prop was not opened' },
    });
    expect(and(walk(job), close).state.status).toBe('handedBack');
    // And when it is opened after all, it is closed too.
    const opened = and(job, good(job, 'lid-up'));
    expect(stepOf(opened, 'lid-down').state).toBe('todo');
  });
});

describe('a correction', () => {
  test('opens the step again, in its phase, one at a time', () => {
    const job = and(at(kiln(), 'fit'), correct('verdict'));
    expect(stepOf(job, 'verdict').state).toBe('todo');
    expect(views(job).current?.id).toBe('verdict');
    const gloves = and(at(kiln(), 'unplug'), correct('gloves'));
    refused(
      when(gloves, correct('slack')),
      'order',
      /“gloves” was corrected.*one correction at a time/,
    );
    expect(walk(and(job, does('verdict', { option: 'keep' })), 'rewire').state.choices).toContain(
      'keep',
    );
  });

  test.each([
    [
      'nothing done yet',
      () => at(kiln(), 'slack'),
      'slack',
      'order',
      /has not been done, so there is nothing to correct/,
    ],
    ['an earlier phase', () => at(kiln(), 'slack'), 'case', 'order', /belongs to an earlier phase/],
    ['a cut', () => at(kiln(), 'slack'), 'breaker-off', 'order', /put right by closing it again/],
    [
      'an opened end',
      () => at(kiln(), 'drain'),
      'cover-off',
      'order',
      /put right by closing it again/,
    ],
    ['a lock', () => at(kiln(), 'slack'), 'breaker-lock', 'order', /by its owner taking it off/],
    ['a roll call', () => at(kiln(), 'lock-off'), 'clear', 'order', /by calling it again/],
    [
      'what a later act stands on',
      () => at(kiln(), 'clear'),
      'lid-down',
      'order',
      /was done since/,
    ],
    ['an unknown step', () => at(kiln(), 'slack'), 'tidy', 'bad-input', /no step “tidy”/],
  ] as const)('is refused for %s', (_, job, step, code, says) => {
    refused(when(job(), correct(step)), code, says);
  });

  test('wants a reason', () => {
    refused(when(at(kiln(), 'slack'), correct('gloves', '')), 'bad-input', /Say why/);
  });

  test('of a count counts none; of gloves takes them off; of a close opens it; of a choice asks its steps again', () => {
    expect(and(at(kiln(), 'find-breaker'), correct('count')).state.counted).toBe(-1);
    const bare = and(at(kiln(), 'slack'), correct('gloves'));
    expect(bare.state.people.map(({ on }) => on)).toEqual([0]);
    const open = and(at(lamp(), 'clear'), correct('base-on'));
    expect(views(open).openEnds.map(({ id }) => id)).toEqual(['base']);
    const out = and(at(dryer(), 'verdict', both), does('verdict', { option: 'good' }));
    expect(stepsIn(out, 'notApplicable')).toEqual(['which-part', 'fit']);
    expect(stepsIn(and(out, correct('verdict')), 'notApplicable')).toEqual([]);
  });

  test('of the first of two hands takes it back', () => {
    const first = and(at(dryer(), 'one-more', both), does('one-more', { sources: 9 }));
    const again = and(first, correct('one-more'));
    expect(stepOf(again, 'one-more').state).toBe('todo');
    expect(again.state.counted).toBe(-1);
  });
});

describe('a step for two hands', () => {
  test('is half done by one, whole by another, and counts when it is whole', () => {
    const first = and(at(dryer(), 'one-more', both), does('one-more', { sources: 5 }));
    expect(stepOf(first, 'one-more').state).toBe('part');
    expect(first.state.counted).toBe(-1);
    const second = and(first, does('one-more', { sources: 5 }, ODE.id));
    expect(stepOf(second, 'one-more').state).toBe('done');
    expect(second.state.counted).toBe(5);
  });

  test('goes all the way, whatever it does', () => {
    const plan = changed(
      kiln(),
      'kiln-twice',
      twice(
        'case',
        'find-breaker',
        'breaker-off',
        'breaker-lock',
        'gloves',
        'slack',
        'cool',
        'dead',
        'cover-off',
        'wires',
        'element-ohms',
        'verdict',
        'rewire',
        'cover-on',
        'clear',
        'lock-off',
        'power',
        'done',
      ),
    );
    const job = finished(plan, both);
    expect(and(job, close).state.status).toBe('handedBack');
    const done = (step: string) =>
      job.events
        .filter((event) => event.type === 'step.done' && event.body.step === step)
        .map(({ by }) => by);
    expect(done('cover-off')).toEqual(['mara', 'ode']);
    expect(done('power')).toEqual(['mara', 'ode']);
    expect(done('verdict')).toEqual(['mara', 'ode']);
  });

  test('the first hand makes worse what it makes worse at once, and nothing better', () => {
    const plan = changed(kiln(), 'kiln-hands', twice('cover-off', 'cover-on', 'breaker-off'));
    const cut = and(at(plan, 'breaker-off', both), does('breaker-off'));
    expect(cut.state.points).toEqual([0, 0]);
    const open = and(at(plan, 'cover-off', both), does('cover-off'));
    expect(views(open).openEnds.map(({ id }) => id)).toEqual(['rear-cover']);
    const shut = and(at(plan, 'cover-on', both), does('cover-on'));
    expect(views(shut).openEnds.map(({ id }) => id)).toEqual(['rear-cover']);
  });

  test('two people who say different things agree first', () => {
    const plan = changed(kiln(), 'kiln-verdict', twice('verdict'));
    const first = and(at(plan, 'verdict', both), does('verdict', { option: 'keep' }));
    refused(
      when(first, does('verdict', { option: 'replace' }, ODE.id)),
      'bad-input',
      /mara said “keep”/,
    );
    const agreed = and(
      first,
      correct('verdict'),
      does('verdict', { option: 'replace' }),
      does('verdict', { option: 'replace' }, ODE.id),
    );
    expect(stepOf(agreed, 'fit').state).toBe('todo');
  });
});

describe('neighbours that stand together', () => {
  test('are done in any order, and nothing after them before all are', () => {
    const job = at(dryer(), 'eyes', both);
    const gloved = and(job, does('gloves'));
    expect(views(gloved).current?.id).toBe('eyes');
    refused(when(gloved, does('switch-off')), 'order', /“eyes” comes first/);
    and(gloved, does('eyes'), does('switch-off'));
  });
});

describe('a choice', () => {
  test('rules out what hangs on another outcome, down to what hangs on that', () => {
    const job = and(at(dryer(), 'verdict', both), does('verdict', { option: 'good' }));
    expect(stepOf(job, 'fit')).toMatchObject({
      state: 'notApplicable',
      fact: { why: 'which-part is ' },
    });
    expect(views(walk(job, 'rewire')).current?.id).toBe('rewire');
    refusedOnly(when(job, does('which-part', { option: 'switch' })), 'order');
  });

  test('leaves in what its outcome asks for', () => {
    const job = walk(at(dryer(), 'verdict', both), 'rewire', {
      options: { 'which-part': 'switch' },
    });
    expect(stepOf(job, 'fit').state).toBe('done');
  });

  test('an end that is opened under one outcome alone is closed under that outcome alone', () => {
    const plan = changed(kiln(), 'kiln-when', (step) => {
      if (step.id === 'lid-up')
        return { ...step, phase: 'work', when: { verdict: 'replace' } } as Step;
      return step;
    });
    // The raising comes after the verdict in this list.
    const steps = [...plan.checklist.steps];
    const [lid] = steps.splice(
      steps.findIndex(({ id }) => id === 'lid-up'),
      1,
    ) as [Step];
    steps.splice(
      steps.findIndex(({ id }) => id === 'fit'),
      0,
      lid,
    );
    const late = planOf({ ...plan.checklist, id: 'kiln-late', steps });
    const kept = walk(at(late, 'verdict'), undefined, { options: { verdict: 'keep' } });
    expect(stepOf(kept, 'lid-down').state).toBe('notDone');
    expect(and(kept, close).state.status).toBe('handedBack');
    const slip = and(
      at(late, 'verdict'),
      does('verdict', { option: 'keep' }),
      correct('verdict'),
      does('verdict', { option: 'replace' }),
    );
    expect(stepOf(slip, 'lid-down').state).toBe('todo');
    expect(and(walk(slip), close).state.status).toBe('handedBack');
  });
});

describe('other orders about a step', () => {
  test('a caution that was read is written down, of a step that there is', () => {
    expect(and(given(kiln()), { command: 'caution', step: 'case' }).events.at(-1)).toMatchObject({
      type: 'caution.read',
      body: { step: 'case' },
    });
    refused(when(given(kiln()), { command: 'caution', step: 'dust' }), 'bad-input');
  });

  test('a late entry says when it was done', () => {
    const job = and(at(kiln(), 'slack'), {
      ...does('slack'),
      acted: '2026-11-25T07:58:00Z',
    } as Said);
    expect(stepOf(job, 'slack').fact).toMatchObject({ acted: '2026-11-25T07:58:00Z' });
  });

  test('a live window is not done like a step, and is opened by what it says', () => {
    refused(when(at(dryer(), 'live', both), does('live')), 'bad-input', /Name the circuit/);
    const open = { command: 'window', source: 'motor', reason: 'x', readBack: 'y' } as const;
    refused(
      when(at(dryer(), 'live', both), { ...open, source: 'sun' }),
      'bad-input',
      /no source “sun”/,
    );
    refused(
      when(at(dryer(), 'live', both), { ...open, reason: ' ' }),
      'bad-input',
      /why it has to be measured live/,
    );
    refused(
      when(at(dryer(), 'live', both), { command: 'endWindow' }),
      'order',
      /No live window is open/,
    );
    const job = and(at(dryer(), 'live', both), open);
    expect(views(job).window).toMatchObject({
      source: 'motor',
      step: 'live',
      remainingMs: 180_000,
    });
    expect(views(job).current?.id).toBe('live-volts');
    expect(views(job).sources.find(({ id }) => id === 'motor')?.state).toBe('window');
    // Closed early after a surprise, the source is cut, held and proved before the next one.
    const early = and(job, { command: 'endWindow', again: true });
    expect(early.events.at(-1)).toMatchObject({ body: { unexpected: true } });
    refused(when(early, { ...open }), 'not-dead');
    const read = walk(early, 'gloves-again');
    expect(read.events.filter(({ type }) => type === 'window.opened')).toHaveLength(2);
  });

  test('a job is opened once, for a site, by somebody who is on it', () => {
    const said: Said = { command: 'open', site: 'x', people: [MARA], instruments: [METER] };
    refused(when(given(kiln()), said), 'order', /open already/);
  });
});

test('the range: undecided by dead tests, it goes through its window and back to a proof', () => {
  const job = walk(at(range(), 'verdict'), 'live', { options: { verdict: 'undecided' } });
  const end = walk(job, undefined, { options: { 'live-verdict': 'board' } });
  expect(and(end, close).state.status).toBe('handedBack');
  const live = end.events.findIndex(({ type }) => type === 'window.closed');
  const after = end.events
    .slice(live)
    .flatMap((event) => (event.type === 'step.done' ? [event.body.step] : []));
  const exposed = after.findIndex(
    (id) => (range().steps[range().stepIndex.get(id) ?? -1]?.exposes.length ?? 0) > 0,
  );
  expect(after.slice(0, exposed)).toEqual(
    expect.arrayContaining(['breaker-off', 'breaker-lock', 'unplug', 'dead']),
  );
});
