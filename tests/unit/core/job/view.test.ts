/** What the screen shows of a job: points, locks, waits, shelf lives, and what is the way on. */
import { describe, expect, test } from 'vitest';
import type { LeftOpen } from '#lib/core/job/events.ts';
import {
  and,
  at,
  does,
  dryer,
  given,
  kiln,
  lamp,
  lapse,
  later,
  MARA,
  MINUTE,
  ODE,
  range,
  stepOf,
  views,
  walk,
  type Job,
} from '../../../support/job-builder.ts';

const sourceOf = (job: Job, id: string) => views(job).sources.find((each) => each.id === id);
const positions = (job: Job, id = 'mains') =>
  sourceOf(job, id)?.points.map((each) => each.position);

describe('a point', () => {
  test('is closed as found, open once cut, and unknown when power may be back', () => {
    expect(positions(given(kiln()))).toEqual(['closed', 'closed']);
    expect(positions(at(kiln(), 'breaker-lock'))).toEqual(['open', 'closed']);
    const back = and(at(kiln(), 'wires'), lapse('reEnergized', { source: 'mains' }));
    expect(positions(back)).toEqual(['unknown', 'unknown']);
  });

  test('shows its own locks, and who has its plug in hand', () => {
    const [breaker, plug] = sourceOf(at(kiln(), 'wires'), 'mains')?.points ?? [];
    expect(breaker?.locks.map(({ number, point }) => [number, point])).toEqual([
      ['mara-0', 'breaker'],
    ]);
    expect(plug?.locks).toEqual([]);
    expect(plug?.holder).toBe('mara');
    expect(breaker && 'holder' in breaker).toBe(false);
  });
});

describe('a source', () => {
  test('shows its voltage, and its case only where that is metal', () => {
    const job = given(dryer());
    expect(sourceOf(job, 'motor')).toMatchObject({ nominal: '240 V', caseTest: 'unknown' });
    expect(sourceOf(job, 'control')).not.toHaveProperty('caseTest');
    expect(sourceOf(job, 'gas')).not.toHaveProperty('nominal');
    expect(sourceOf(and(given(kiln()), does('case', CASE)), 'mains')?.caseTest).toBe('clear');
  });

  test('counts its wait from the cut on, and has none before or without one', () => {
    expect(sourceOf(given(kiln()), 'smoothing')).not.toHaveProperty('wait');
    const cut = at(kiln(), 'cool');
    /* 47 s times ln 32.5, as the charge of the polisher has it in the tests of the properties. */
    expect(sourceOf(cut, 'smoothing')?.wait?.totalMs).toBeCloseTo(163_620, -2);
    expect(sourceOf(later(cut, MINUTE), 'smoothing')?.wait?.remainingMs).toBe(
      (sourceOf(cut, 'smoothing')?.wait?.remainingMs ?? 0) - MINUTE,
    );
    expect(sourceOf(cut, 'heat')).not.toHaveProperty('wait');
  });

  test('is released for as long as nothing ends it, where it has no shelf life', () => {
    const cool = at(kiln(), 'dead');
    expect(sourceOf(cool, 'heat')?.state).toBe('released');
    expect(sourceOf(later(cool, 300 * MINUTE), 'heat')?.state).toBe('released');
    expect(sourceOf(given(kiln()), 'heat')?.state).toBe('stored');
  });

  test('is proved at a time, and to the last moment of its shelf life', () => {
    const job = at(kiln(), 'cover-off');
    const proved = sourceOf(job, 'mains');
    expect(proved?.provedAt).toBe(job.now.at);
    expect(proved?.keepsMs).toBe(30 * MINUTE);
    expect(sourceOf(later(job, 30 * MINUTE), 'mains')).toMatchObject({ state: 'dead', keepsMs: 0 });
    expect(sourceOf(later(job, 30 * MINUTE + 1), 'mains')?.state).toBe('held');
    expect(sourceOf(given(kiln()), 'mains')).not.toHaveProperty('provedAt');
  });
});

const CASE = {
  pairs: { 'case-ground': { value: '0.3', unit: 'V' } },
  before: { expected: '120', shown: '119.6', unit: 'V' },
  after: { expected: '120', shown: '119.6', unit: 'V' },
  instrument: 'meter-3',
};

describe('a step', () => {
  test('shows how long it keeps only where it does, and while it is done', () => {
    const job = at(kiln(), 'cover-off');
    expect(stepOf(later(job, MINUTE), 'dead').keepsMs).toBe(29 * MINUTE);
    expect(stepOf(job, 'count')).not.toHaveProperty('keepsMs');
    expect(stepOf(at(kiln(), 'dead'), 'dead')).not.toHaveProperty('keepsMs');
    expect(stepOf(later(job, 31 * MINUTE), 'dead')).not.toHaveProperty('keepsMs');
    expect(stepOf(given(kiln()), 'count')).not.toHaveProperty('fact');
    expect(stepOf(job, 'count').fact).toMatchObject({ by: 'mara', result: { sources: 3 } });
  });

  test('that seats wires is to do, part done and done, and passed where none came off', () => {
    expect(stepOf(at(kiln(), 'wires'), 'rewire').state).toBe('todo');
    expect(stepOf(at(kiln(), 'rewire'), 'rewire').state).toBe('todo');
    const one = and(at(kiln(), 'rewire'), does('rewire', { connector: 'w1' }));
    expect(stepOf(one, 'rewire').state).toBe('part');
    expect(stepOf(at(kiln(), 'lid-down'), 'rewire').state).toBe('done');
    expect(stepOf(given(kiln()), 'rewire').state).toBe('todo');
  });

  test('is asked of nobody while the job is stopped', () => {
    const down = and(at(kiln(), 'wires'), { command: 'downTools', why: 'x' });
    expect(stepOf(down, 'dead').refusals).toEqual([]);
    expect(stepOf(at(kiln(), 'wires'), 'power').refusals).not.toEqual([]);
  });

  test('is ready when nothing stands in its way', () => {
    const ready = views(at(lamp(), 'unplug')).ready.map(({ id }) => id);
    expect(ready).toContain('unplug');
    expect(ready).not.toContain('base-off');
    expect(ready).not.toContain('done');
  });
});

describe('the way on', () => {
  test('is what lapsed and stands before the next step', () => {
    const stale = and(at(kiln(), 'cover-off'), lapse('panelTouched'));
    expect(views(stale).current?.id).toBe('dead');
    const live = and(at(kiln(), 'cover-off'), lapse('reEnergized', { source: 'mains' }));
    /* Hands on metal that may be live again: its case is tested first. */
    expect(views(live).current?.id).toBe('case');
    expect(views(walk(live, 'cover-off')).current?.id).toBe('cover-off');
  });

  test('is the next one for whoever has all they need', () => {
    const two = and(at(kiln(), 'cover-off'), { command: 'join', person: ODE });
    expect(views(two, ODE.id).current?.id).not.toBe('cover-off');
  });
});

describe('what is open', () => {
  test('shows how it was left, and only what is open', () => {
    const job = at(kiln(), 'rewire');
    const said = (end: string): LeftOpen => ({ end, insulated: true, why: `${end} waits` });
    const ids = ['rear-cover', 'lid-prop', 'w1', 'w2'];
    const parked = and(job, {
      command: 'park',
      as: 'shut',
      told: 'keeper',
      owner: 'office',
      until: '2026-12-02',
      left: ids.map(said),
    });
    expect(views(parked).openEnds.map(({ id, left }) => [id, left?.why])).toEqual(
      ids.map((id) => [id, `${id} waits`]),
    );
    expect(views(job).openEnds.filter((each) => 'left' in each)).toEqual([]);
    expect(views(job).connectors.filter((each) => 'wire' in each || 'pin' in each)).toEqual([]);
    const seated = and(job, does('rewire', { connector: 'w1' }));
    expect(views(seated).openEnds.map(({ id }) => id)).toEqual(['rear-cover', 'lid-prop', 'w2']);
    expect(views(given(kiln())).openEnds).toEqual([]);
  });
});

test('people show what they have on, each their own', () => {
  const two = and(at(kiln(), 'slack'), { command: 'join', person: ODE });
  expect(views(two).people.map(({ id, worn }) => [id, worn.length])).toEqual([
    ['mara', 1],
    ['ode', 0],
  ]);
  expect(views(at(range(), 'rear-off')).people[0]?.id).toBe(MARA.id);
});
