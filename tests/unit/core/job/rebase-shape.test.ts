/**
 * Which newer revision a running job goes over to where it stands: one with other words and figures. Other
 * sources, points, ends, steps or gates are another job, and wait until the machine stands as it was found.
 */
import { describe, expect, test } from 'vitest';
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import { editsBetween } from '#lib/core/checklist/revision-edits.ts';
import type { Command } from '#lib/core/job/commands.ts';
import { decide } from '#lib/core/job/decide.ts';
import { planOf } from '#lib/core/job/plan.ts';
import type { JobState } from '#lib/core/job/state.ts';
import {
  accepted,
  and,
  at,
  commandOf,
  dryer,
  given,
  kiln,
  MARA,
  open,
  PIP,
  unopened,
  when,
  type Job,
  type Said,
} from '../../../support/job-builder.ts';

const SHA = '1'.repeat(64);
const list = kiln().checklist;

const to = (newer: Checklist, base = list): Said => ({
  command: 'rebase',
  sha256: SHA,
  edits: editsBetween(base, { ...newer, revision: base.revision + 1 }) ?? [],
  why: 'a newer one',
});
const codes = (job: Job, said: Said, state: JobState = job.state) =>
  decide(state, commandOf(job, said)).refusals.map(({ key }) => key);

const step = (id: string, more: object): Checklist => ({
  ...list,
  steps: list.steps.map((each) => (each.id === id ? ({ ...each, ...more } as Step) : each)),
});
const source = (id: string, more: object): Checklist => ({
  ...list,
  sources: { ...list.sources, [id]: { ...list.sources[id], ...more } as never },
});
const mains = list.sources['mains']!;
const OPTIONS = { replace: 'R', keep: 'K', specialist: 'S' };
const breaker = mains.points!['breaker']!;
const without = (id: string, key: string): Checklist => ({
  ...list,
  steps: list.steps.map((each) => {
    if (each.id !== id) return each;
    return Object.fromEntries(Object.entries(each).filter(([name]) => name !== key)) as never;
  }),
});

describe('mid-job, with something open', () => {
  const job = at(kiln(), 'wires');

  test.each<[string, Checklist]>([
    [
      'other words for what was done',
      step('breaker-off', { say: 'Down.', why: 'x', takes: '9 s' }),
    ],
    ['other words for what comes', step('fit', { say: 'Fit it well.', cautions: ['Sharp edges'] })],
    [
      'another label',
      { ...list, ends: { ...list.ends, 'rear-cover': { label: 'Back', kind: 'cover' } } },
    ],
    ['another limit for dead', source('mains', { dead: { ...mains.dead, below: '1 V' } })],
    ['another shelf life', source('mains', { keeps: { for: '20 min' } })],
    [
      'other outcomes in words',
      step('verdict', { options: { replace: 'New', keep: 'Old', specialist: 'Call' } }),
    ],
    [
      'the same steps written in another order of their parts',
      {
        ...list,
        steps: list.steps.map(
          (each) => Object.fromEntries(Object.entries(each).reverse()) as never,
        ),
      },
    ],
  ])('goes over to %s', (_, newer) => {
    expect(codes(job, to(newer))).toEqual([]);
  });

  test.each<[string, Checklist]>([
    ['a step without an exposure', without('wires', 'exposes')],
    ['a step that needs another', step('cover-off', { needs: ['count'] })],
    ['a step that hangs on another outcome', step('fit', { when: { verdict: 'keep' } })],
    ['another kind of source', source('heat', { kind: 'spring' })],
    ['a case of another kind', source('mains', { case: 'insulated' })],
    ['a charge from elsewhere', source('smoothing', { from: 'heat' })],
    ['a source that shows no longer dead', source('heat', { dead: mains.dead })],
    [
      'another control of a point',
      source('mains', { points: { ...mains.points, breaker: { ...breaker, control: 'tag' } } }),
    ],
    [
      'another kind of end',
      { ...list, ends: { ...list.ends, 'rear-cover': { label: 'Rear cover', kind: 'hose' } } },
    ],
    ['no wait', source('smoothing', { nominal: '8 V' })],
    ['a shelf life where there was none', source('heat', { keeps: { for: '20 min' } })],
    ['a shelf life of a step', step('count', { keeps: { for: '20 min' } })],
    ['another lapse that ends it', step('count', { keeps: { unless: ['moved'] } })],
    ['one more outcome', step('verdict', { options: { ...OPTIONS, wait: 'Wait' } })],
    ['another competence', { ...list, competence: [...list.competence, 'gas'] }],
    ['something more that is barred', { ...list, barred: [...list.barred, 'Haste'] }],
  ])('does not go over to %s', (_, newer) => {
    expect(codes(job, to(newer))).toContain('rebaseStands');
  });

  test('whose outcome was chosen in other words is corrected first', () => {
    const chosen = at(kiln(), 'fit');
    const reworded = to(
      step('verdict', { options: { replace: 'New', keep: 'Old', specialist: 'Call' } }),
    );
    expect(codes(chosen, reworded)).toEqual(['rebaseDone']);
    expect(codes(chosen, to(step('verdict', { say: 'Say which.' })))).toEqual([]);
  });
});

describe('as it was found', () => {
  const other = to(step('count', { needs: ['case'] }));
  const job = given(kiln());

  test('a job begins anew with other steps', () => {
    expect(codes(job, other)).toEqual([]);
  });

  test.each<[string, Partial<JobState>]>([
    ['a lock', { locks: [{ number: 'L', owner: 'mara', point: 0, sure: true, parked: false }] }],
    ['an open end', { openEnds: 1 }],
    ['a wire off', { connectors: [{ id: 'w', label: 'w', terminal: 'T', open: true, step: 1 }] }],
    ['a case that read live', { caseLive: 1 }],
    ['somebody who has to read that their lock came off', { toRead: ['ode'] }],
    ['a point that nobody knows about', { points: [2, 0] }],
  ])('is not a machine with %s', (_, more) => {
    expect(codes(job, other, { ...job.state, ...more })).toEqual(['rebaseStands']);
  });

  test('is none with a live window', () => {
    const window = { step: 0, source: 0, openedRan: 0, minutes: 3 };
    expect(codes(job, other, { ...job.state, window })).toEqual(['leaveWindow', 'rebaseStands']);
  });

  test('is one whose wires are all back', () => {
    const connectors = [{ id: 'w', label: 'w', terminal: 'T', open: false, step: 1 }];
    expect(codes(job, other, { ...job.state, connectors })).toEqual([]);
  });

  test('whoever goes over is authorized for what the newer list asks for', () => {
    const two = accepted(when(unopened(kiln()), open([MARA, PIP])));
    const gas = to({ ...list, competence: [...list.competence, 'gas'] });
    expect(codes(two, gas)).toEqual([]);
    expect(codes(two, { ...gas, by: PIP.id } as Said)).toEqual(['competence']);
  });

  test('a charge that is fed waits from its cut, and each starts over', () => {
    const anew = and(job, other);
    expect(anew.events.at(-1)?.type).toBe('job.rebased');
    expect(anew.state.plan.checklist.revision).toBe(list.revision + 1);
    expect(anew.state.cutAt).toEqual([-1, -1, -1]);
    const alone = {
      ...list,
      sources: { smoothing: { ...list.sources['smoothing']! } },
    } as Checklist;
    const { from: _from, ...charge } = alone.sources['smoothing']!;
    const unfed = planOf({ ...list, sources: { smoothing: charge }, steps: [list.steps.at(-1)!] });
    const begun = given(unfed);
    expect(begun.state.cutAt).toEqual([0]);
    const [sign] = unfed.checklist.steps as readonly [Step];
    const two = { ...unfed.checklist, steps: [{ ...sign, id: 'look', do: 'photo' } as Step, sign] };
    const over = and(begun, { ...to(two, unfed.checklist), after: 7000 } as Said);
    expect(over.state.cutAt).toEqual([over.state.clock.ran]);
  });
});

test('another shelf life of a step is another figure', () => {
  const kept = (minutes: number) => step('slack', { keeps: { for: `${minutes} min` } });
  const base = { ...kept(20), id: 'kiln-kept' };
  const job = at(planOf(base), 'wires');
  expect(codes(job, to({ ...base, steps: kept(10).steps }, base))).toEqual([]);
});

test('edits that lead nowhere, or to half a revision, are refused', () => {
  const job = given(kiln());
  const bad = (edits: object[]) =>
    codes(job, { command: 'rebase', sha256: SHA, edits, why: 'x' } as unknown as Said);
  expect(bad([{ at: ['steps', 'ORDER'], to: ['ghost'] }])).toEqual(['rebaseBad']);
  expect(bad([{ at: ['revision'], to: list.revision + 0.5 }])).toEqual(['rebaseBad']);
});

test('nobody goes over while a live window is open', () => {
  const ready = at(dryer(), 'live-volts', [MARA, { ...MARA, id: 'ode' }]);
  const base = ready.state.plan.checklist;
  const command: Command = commandOf(ready, to({ ...base, title: 'Another title' }, base));
  expect(ready.state.window).toBeDefined();
  expect(decide(ready.state, command).refusals.map(({ code }) => code)).toContain('live-window');
});
