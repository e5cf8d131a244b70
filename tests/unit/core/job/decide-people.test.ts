import { describe, expect, test } from 'vitest';
import {
  and,
  at,
  does,
  goodResult,
  kiln,
  lamp,
  MARA,
  ODE,
  PIP,
  range,
  refused,
  refusedOnly,
  views,
  walk,
  when,
  type Job,
  type Said,
} from '../../../support/job-builder.ts';

const good = (job: Job, step: string, by: string) => does(step, goodResult(job, step, by), by);
const joins = (person = ODE, by = MARA.id): Said => ({ command: 'join', person, by });
const shut = (lock?: string): Said => ({
  command: 'park',
  as: 'shut',
  told: 'The studio keeper',
  owner: 'dispatch',
  until: '2026-12-02',
  left: [],
  ...(lock === undefined ? {} : { lock }),
});

describe('join', () => {
  test('by oneself, with a name that stays private', () => {
    const job = and(at(kiln(), 'slack'), joins(ODE, ODE.id));
    expect(job.events.at(-1)).toMatchObject({
      type: 'person.joined',
      body: { person: 'ode', competence: ['electrical', 'gas'] },
      private: { name: 'Ode Brannigan' },
    });
  });

  test('by whose hand stands in the record, and changes nothing that gates read', () => {
    const before = at(kiln(), 'slack');
    const plain = and(before, joins(ODE, ODE.id));
    const hand = { by: 'code', own: 'k', nonce: 'n', until: 'u', signature: 's' } as const;
    for (const how of [hand, { by: 'pin' } as const]) {
      const job = and(before, { command: 'join', person: ODE, by: ODE.id, hand: how });
      expect(job.events.at(-1)).toMatchObject({ type: 'person.joined', body: { hand: how } });
      expect(job.state).toEqual(plain.state);
    }
  });

  test('nobody joins twice, or without an id', () => {
    const job = and(at(kiln(), 'slack'), joins());
    refused(when(job, joins()), 'people', /ode is on this job already/);
    refused(when(job, joins({ id: ' ', competence: [] })), 'bad-input', /Give “person”/);
  });

  test('whoever comes back by id alone keeps what they are authorized for', () => {
    const away = and(at(kiln(), 'slack'), joins(), { command: 'leave', person: 'ode', by: 'ode' });
    const back = and(away, joins({ id: 'ode', competence: [] }, 'ode'));
    expect(back.state.people.find(({ id }) => id === 'ode')?.competence).toEqual(ODE.competence);
  });
});

describe('leave', () => {
  test('with the own lock coming off, and the proof with it when nothing else keeps the point', () => {
    const two = and(at(kiln(), 'cover-off'), joins());
    const locked = and(two, good(two, 'breaker-lock', 'ode'), { command: 'leave', person: 'mara' });
    expect(locked.state.locks.map(({ owner }) => owner)).toEqual(['ode']);
    const left = and(two, { command: 'leave', person: 'mara' });
    expect(left.state.locks).toEqual([]);
    const again = and(left, good(left, 'breaker-lock', 'ode'));
    refused(when(again, good(again, 'cover-off', 'ode')), 'stale-proof');
  });

  test('nobody takes somebody off who still has a lock on, and the last one stays', () => {
    const job = and(at(kiln(), 'cover-off'), joins());
    refused(
      when(job, { command: 'leave', person: 'mara', by: 'ode' }),
      'lock-owner',
      /own lock mara-0 off/,
    );
    refusedOnly(when(at(kiln(), 'slack'), { command: 'leave', person: 'mara' }), 'park-incomplete');
    refused(when(job, { command: 'leave', person: 'pip' }), 'people', /pip is not on this job/);
  });

  test('a plug that somebody kept in sight is nobody’s any more', () => {
    const job = and(at(range(), 'rear-off'), joins(), { command: 'leave', person: 'mara' });
    expect(job.state.holders).toEqual(['', '']);
  });
});

describe('a handover', () => {
  const two = () => and(at(kiln(), 'wires'), joins());

  test('needs a lock of the one who takes over before the other comes off', () => {
    const said = { command: 'handOver', to: 'ode' } as const;
    refused(when(two(), said), 'lock-owner', /ode puts a lock on .* before yours comes off/);
    const job = and(two(), { ...said, lock: 'O-5' });
    expect(job.state.locks).toEqual([
      { number: 'O-5', owner: 'ode', point: 0, sure: true, parked: false },
    ]);
    expect(
      views(job, 'ode')
        .people.filter(({ present }) => present)
        .map(({ id }) => id),
    ).toEqual(['ode']);
    expect(walk({ ...job, lead: 'ode' }, 'element-ohms').state.frontier).toBeGreaterThan(13);
  });

  test('without a number when the lock hangs already', () => {
    const briefed = two();
    const locked = and(briefed, good(briefed, 'breaker-lock', 'ode'));
    expect(
      and(locked, { command: 'handOver', to: 'ode' }).state.locks.map(({ owner }) => owner),
    ).toEqual(['ode']);
  });

  test.each([
    ['tape', 'tag-not-enough', /“tape” is no lock/],
    ['mara-0', 'lock-owner', /Lock mara-0 is already on/],
  ] as const)('with %s as the lock is refused', (lock, code, says) => {
    refused(when(two(), { command: 'handOver', to: 'ode', lock }), code, says);
  });

  test('to oneself, or to somebody who is not here', () => {
    refused(
      when(two(), { command: 'handOver', to: 'mara', lock: 'x1' }),
      'people',
      /somebody who has joined/,
    );
    refused(when(two(), { command: 'handOver', to: 'pip', lock: 'x1' }), 'people');
  });
});

describe('a lock taken off for somebody who is away', () => {
  const facts = {
    command: 'removeLockFor',
    lock: 'mara-0',
    away: 'seen to drive off at noon',
    tried: ['telephone, twice'],
    informed: 'a note on the van key',
    authorizedBy: 'safety office',
    by: 'ode',
  } as const;
  /** Parked by Mara, whose own lock stays on; Ode comes by. */
  const parked = () => and(at(kiln(), 'cover-off'), shut(), joins(ODE, ODE.id));

  test('with three facts and a second person, and it is remembered', () => {
    const job = and(parked(), facts);
    expect(job.state.locks).toEqual([]);
    expect(job.events.at(-1)).toMatchObject({ type: 'lock.removedFor', body: { owner: 'mara' } });
    expect(job.state.toRead).toEqual(['mara']);
  });

  test.each([
    ['away', { away: ' ' }, 'lock-owner', /Three facts first/],
    ['what was tried', { tried: [' '] }, 'lock-owner', /Three facts first/],
    ['how they will know', { informed: '' }, 'lock-owner', /Three facts first/],
    ['a second person', { authorizedBy: 'ode' }, 'lock-owner', /second, authorized person/],
    ['anybody to authorize it', { authorizedBy: ' ' }, 'lock-owner', /second, authorized person/],
    ['a lock that hangs here', { lock: 'L-0' }, 'bad-input', /There is no lock L-0/],
  ] as const)('not without %s', (_, missing, code, says) => {
    refused(when(parked(), { ...facts, ...missing }), code, says);
  });

  test('not while they are here, and never one’s own', () => {
    const here = and(at(kiln(), 'cover-off'), joins());
    refused(when(here, facts), 'lock-owner', /mara is here/);
    refused(when(parked(), { ...facts, by: 'mara' }), 'lock-owner', /mara is here/);
  });
});

describe('the firm’s lock', () => {
  test('stays in place of one’s own, counts for nobody, and comes off by whoever unlocks', () => {
    const parked = and(at(kiln(), 'cover-off'), shut('F-2'));
    expect(parked.state.locks).toEqual([
      { number: 'F-2', owner: 'mara', point: 0, sure: true, parked: true },
    ]);
    const back = and(parked, { command: 'resume' });
    refused(when(back, good(back, 'dead', 'mara')), 'lock-owner', /mara has no lock/);
    const end = walk(back);
    expect(and(end, { command: 'close' }).state.status).toBe('handedBack');
  });

  test('does not stand for the lock of somebody who takes over', () => {
    const back = and(at(kiln(), 'cover-off'), shut('F-2'), { command: 'resume' });
    const locked = walk(back, 'cover-off');
    const two = and(locked, joins());
    const given = and(two, good(two, 'breaker-lock', 'ode'), { command: 'leave', person: 'mara' });
    const again = and(given, joins(MARA, 'ode'));
    const said = { command: 'handOver', to: 'mara', by: 'ode' } as const;
    refused(when(again, said), 'lock-owner', /mara puts a lock on/);
  });
});

test('a helper who is authorized for nothing may state what they do themselves', () => {
  const job = and(at(lamp(), 'count', [MARA, PIP]));
  expect(and(job, does('count', { sources: 1 }, 'pip')).state.counted).toBe(1);
  const cut = at(lamp(), 'unplug', [MARA, PIP]);
  refused(when(cut, good(cut, 'unplug', 'pip')), 'competence', /pip is not authorized/);
});
