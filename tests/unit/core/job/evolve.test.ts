/** Folding: any event of its type is taken, whatever older program wrote it, and nothing given is changed. */
import { describe, expect, test } from 'vitest';
import type { JobEvent } from '#lib/core/job/events.ts';
import { evolve, fold } from '#lib/core/job/evolve.ts';
import { initialState } from '#lib/core/job/state.ts';
import {
  and,
  at,
  close,
  does,
  dryer,
  finished,
  kiln,
  lamp,
  MARA,
  METER,
  ODE,
  range,
  stepsIn,
  views,
  type Job,
} from '../../../support/job-builder.ts';

const after = (job: Job, type: string, body: object) =>
  evolve(job.state, { ...job.now, by: 'mara', type, body } as unknown as JobEvent);

/** The parts of a state that an event may change, without its clock. */
const still = (job: Job) => ({ ...job.state, clock: undefined });

describe('an event about what this list does not have', () => {
  test.each([
    ['step.done', { step: 'ghost', result: {} }],
    ['step.notDone', { step: 'ghost', why: 'x', applies: true }],
    ['step.corrected', { step: 'ghost', why: 'x' }],
    [
      'try.refused',
      { command: 'do', codes: [], says: [], live: 'sun', caseLive: 'sun', doubt: 'M-0' },
    ],
    ['fact.lapsed', { what: 'reEnergized', source: 'sun', steps: ['ghost'] }],
    ['fact.lapsed', { what: 'instrumentDoubt', instrument: 'M-0', steps: [] }],
    ['window.closed', { source: 'mains', unexpected: false }],
    [
      'lock.removedFor',
      { lock: 'L-0', owner: 'nobody', away: 'x', tried: ['x'], informed: 'x', authorizedBy: 'x' },
    ],
    ['person.left', { person: 'nobody', locks: [] }],
  ] as const)('%s %j changes nothing', (type, body) => {
    const job = at(kiln(), 'wires');
    const { toRead, ...rest } = after(job, type, body);
    expect({ ...rest, toRead: [], clock: undefined }).toEqual({ ...still(job), toRead: [] });
    expect(toRead).toEqual(type === 'lock.removedFor' ? ['nobody'] : []);
  });
});

test('a live window on a source that nobody knows is followed as far as it can be', () => {
  const body = { step: 'ghost', source: 'sun', reason: 'x', readBack: 'y', minutes: 3 };
  expect(after(at(kiln(), 'wires'), 'window.opened', body).points).toEqual(
    at(kiln(), 'wires').state.points,
  );
});

describe('an event that no gate asks about', () => {
  test.each([
    ['caution.read', { step: 'case' }],
    ['clock.noted', { what: 'wallBack', seconds: -9 }],
    ['program.noted', { what: 'The page was reloaded' }],
    ['disclosure.erased', { digest: 'x', why: 'y' }],
    ['key.rotated', { person: 'mara', key: 'k' }],
    ['nearMiss', { what: 'x' }],
    ['amended', { about: 'x', text: 'y' }],
  ] as const)('%s is kept by the record alone', (type, body) => {
    const job = at(kiln(), 'wires');
    expect({ ...after(job, type, body), clock: undefined }).toEqual(still(job));
  });
});

test('a state is never changed by what follows from it', () => {
  const job = at(lamp(), 'wires');
  const before = JSON.stringify(job.state, (key, value: unknown) =>
    key === 'plan' ? undefined : value,
  );
  and(job, does('wires', { connectors: [{ id: 'a', label: 'a', terminal: '1' }] }));
  and(job, { command: 'downTools', why: 'x' });
  expect(
    JSON.stringify(job.state, (key, value: unknown) => (key === 'plan' ? undefined : value)),
  ).toBe(before);
});

test.each([lamp, kiln, range])(
  'many events in one go come to the state that they come to one by one',
  (plan) => {
    const { events, state } = and(finished(plan()), close);
    const empty = initialState(state.plan, state.sha256);
    for (const until of [1, events.length >> 1, events.length]) {
      const some = events.slice(0, until);
      expect(fold(empty, some)).toEqual(some.reduce(evolve, empty));
    }
    expect(fold(empty, events)).toEqual({ ...state, clock: fold(empty, events).clock });
    expect(state.status).toBe('handedBack');
    expect(fold(empty, [])).toBe(empty);
  },
);

describe('the view of a job', () => {
  test('shows each source from live to dead and back', () => {
    const state = (step: string, id = 'mains') =>
      views(at(kiln(), step)).sources.find((each) => each.id === id)?.state;
    expect(state('breaker-off')).toBe('live');
    expect(state('cool')).toBe('held');
    expect(state('cover-off')).toBe('dead');
    expect(state('case-again')).toBe('live');
    expect(state('cool', 'heat')).toBe('stored');
    expect(state('dead', 'heat')).toBe('released');
    const back = and(at(kiln(), 'cover-off'), {
      command: 'lapse',
      what: 'reEnergized',
      source: 'mains',
    });
    expect(views(back).sources[0]).toMatchObject({ state: 'unknown', caseTest: 'unknown' });
    const two = and(at(kiln(), 'cover-off'), { command: 'join', person: ODE });
    expect(views(two).sources[0]?.state).toBe('cut');
  });

  test('shows connectors with their pins, and what is still open', () => {
    const photo = 'ab'.repeat(32);
    const job = and(
      at(kiln(), 'wires'),
      does('wires', {
        connectors: [
          { id: 'w1', label: 'left', terminal: 'T1', wire: 'red', pin: { photo, x: 10, y: 20 } },
          { id: 'w2', label: 'right', terminal: 'T2' },
        ],
      }),
    );
    expect(views(job).connectors[0]).toEqual({
      id: 'w1',
      label: 'left',
      terminal: 'T1',
      wire: 'red',
      pin: { photo, x: 10, y: 20 },
      kind: 'connector',
      open: true,
      step: 'wires',
    });
    expect(views(job).openEnds.map(({ id }) => id)).toEqual(['rear-cover', 'lid-prop', 'w1', 'w2']);
    expect(views(job).phase).toBe('work');
    expect(views(job).people).toEqual([
      { id: 'mara', present: true, worn: ['cut-resistant gloves A4'] },
    ]);
    expect(views(job).instruments).toEqual([{ ...METER, doubted: false }]);
  });

  test('a step of two connectors is part done after the first, and half reseated after one', () => {
    const one = and(
      at(kiln(), 'wires'),
      does('wires', { connectors: [{ id: 'w1', label: 'a', terminal: 'b' }] }),
    );
    expect(stepsIn(one, 'part')).toEqual(['wires']);
    const half = and(at(kiln(), 'rewire'), does('rewire', { connector: 'w1' }));
    expect(stepsIn(half, 'part')).toEqual(['rewire']);
  });

  test('nothing is ready or current before the opening, while stopped, or at the end', () => {
    const down = and(at(kiln(), 'wires'), { command: 'downTools', why: 'x' });
    expect(views(down)).toMatchObject({ ready: [], status: 'downTools' });
    expect(views(down).current).toBeUndefined();
    const end = and(finished(range()), { command: 'close' });
    expect(views(end).current).toBeUndefined();
    expect(views(end).phase).toBe('finish');
  });

  test('counts a shelf life down, and shows a proof gone when it is over', () => {
    const job = at(dryer(), 'front-off', [MARA, ODE]);
    const source = (ms: number) =>
      views({ ...job, now: { ...job.now, mono: job.now.mono + ms } }).sources.find(
        ({ id }) => id === 'control',
      );
    const left = source(0)?.keepsMs ?? 0;
    expect(left).toBeGreaterThan(19 * 60_000);
    expect(source(60_000)?.keepsMs).toBe(left - 60_000);
    expect(source(21 * 60_000)?.state).toBe('held');
  });
});
