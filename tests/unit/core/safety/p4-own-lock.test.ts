import { describe, expect, test } from 'vitest';
import { ISOLATED, POLISHER } from '../../../support/polisher.ts';
import {
  MARA,
  ODE,
  broken,
  did,
  handedOver,
  joined,
  left,
  opened,
  parkedShut,
  removedFor,
  resumed,
  type Happening,
} from '../../../support/trace.ts';

const found = (...happenings: Happening[]) =>
  broken(POLISHER, happenings).filter((one) => one.startsWith('P4 '));

const maras = did('lock', { lock: 'M1' });
const odes = did('lock', { lock: 'O1' }, ODE);

describe('P4: own lock, own key', () => {
  test('passes when each takes off their own', () => {
    expect(found(opened(MARA, ODE), maras, odes, did('unlock', {}, ODE), did('unlock'))).toEqual(
      [],
    );
  });

  test('is broken by a hand that has no lock there', () => {
    expect(found(opened(MARA, ODE), odes, did('unlock'))).toEqual(['P4 unlock']);
  });

  test('is broken by naming the lock of another', () => {
    expect(found(opened(MARA, ODE), maras, odes, did('unlock', { lock: 'O1' }))).toEqual([
      'P4 unlock',
    ]);
    expect(found(opened(MARA, ODE), maras, odes, did('unlock', { lock: 'M1' }))).toEqual([]);
  });

  test('is broken by taking one’s lock off twice', () => {
    expect(found(opened(MARA), maras, did('unlock'), did('unlock'))).toEqual(['P4 unlock']);
  });

  test('anybody may write that somebody without a lock has left', () => {
    expect(found(opened(MARA, ODE), left(ODE, [], MARA))).toEqual([]);
  });

  test('the leaver takes off their own, by their own hand', () => {
    expect(found(opened(MARA, ODE), odes, left(ODE, ['O1']))).toEqual([]);
    expect(found(opened(MARA, ODE), odes, left(ODE, ['O1'], MARA))).toEqual(['P4 person.left']);
    expect(found(opened(MARA, ODE), maras, odes, left(ODE, ['O1', 'M1']))).toEqual([
      'P4 person.left',
    ]);
  });
});

describe('P4: a handover', () => {
  test('passes when the incoming lock is on before the outgoing one is off', () => {
    expect(found(opened(MARA), maras, joined(ODE), odes, handedOver())).toEqual([]);
    expect(found(opened(MARA), maras, joined(ODE), handedOver({ lock: 'O1' }))).toEqual([]);
    expect(found(opened(MARA), joined(ODE), handedOver())).toEqual([]);
    expect(found(opened(MARA), joined(ODE), handedOver({}, ODE))).toEqual([]);
  });

  test('is broken by a gap, or by another hand', () => {
    expect(found(opened(MARA), maras, joined(ODE), handedOver())).toEqual(['P4 job.handedOver']);
    expect(found(opened(MARA), maras, joined(ODE), handedOver({ lock: '' }))).toEqual([
      'P4 job.handedOver',
    ]);
    expect(found(opened(MARA), maras, joined(ODE), odes, handedOver({}, ODE))).toEqual([
      'P4 job.handedOver',
    ]);
  });

  test('hangs no lock that nobody named, and keeps the one that hung there', () => {
    const bare = [opened(MARA), maras, joined(ODE), handedOver()];
    expect(found(...bare, did('unlock', {}, ODE))).toEqual(['P4 job.handedOver', 'P4 unlock']);
    const own = [opened(MARA), maras, joined(ODE), odes, handedOver({ lock: 'O9' }), joined(MARA)];
    expect(found(...own, left(ODE, ['O1']))).toEqual([]);
    expect(found(...own, left(ODE, ['O9']))).toEqual(['P4 person.left']);
  });

  test('leaves the incoming lock on and the outgoing one off', () => {
    const given = [opened(MARA), maras, joined(ODE), handedOver({ lock: 'O1' })];
    expect(found(...given, did('unlock', {}, ODE))).toEqual([]);
    expect(found(...given, did('unlock'))).toEqual(['P4 unlock']);
  });
});

describe('P4: the owner is away', () => {
  const gone = [opened(MARA, ODE), odes, left(ODE)];

  test('passes when the procedure is complete', () => {
    expect(found(...gone, removedFor())).toEqual([]);
  });

  test.each([
    ['away', { away: ' ' }],
    ['sought', { tried: [] }],
    ['how sought', { tried: [''] }],
    ['informed', { informed: '' }],
    ['authorized', { authorizedBy: '' }],
    ['another who authorizes', { authorizedBy: MARA }],
    ['the lock that hangs there', { lock: 'O2' }],
    ['its owner', { owner: 'iris' }],
  ])('is broken without %s', (_, more) => {
    expect(found(...gone, removedFor(more))).toEqual(['P4 lock.removedFor']);
  });

  test('is broken while the owner is there', () => {
    expect(found(opened(MARA, ODE), odes, removedFor())).toEqual(['P4 lock.removedFor']);
  });

  test('takes that lock off and no other', () => {
    expect(found(...gone, removedFor(), removedFor())).toEqual(['P4 lock.removedFor']);
    expect(found(...gone, maras, removedFor(), did('unlock'))).toEqual([]);
    const alike = did('lock', { lock: 'O1' });
    expect(found(...gone, alike, removedFor(), did('unlock'))).toEqual([]);
  });
});

describe('P4: the firm’s lock', () => {
  const parked = [...ISOLATED, parkedShut({ lock: 'F1' })];

  test('comes off by the hand of whoever unlocks after the job was resumed', () => {
    expect(found(...parked, resumed(ODE), did('unlock', {}, ODE))).toEqual([]);
    expect(found(...parked, resumed(ODE), did('unlock', {}, ODE), did('unlock', {}, ODE))).toEqual([
      'P4 unlock',
    ]);
  });

  test('is removed for its owner like any other', () => {
    expect(found(...parked, removedFor({ lock: 'F1', owner: MARA }))).toEqual([]);
    expect(found(...parked, removedFor({ lock: 'M1', owner: MARA }))).toEqual([
      'P4 lock.removedFor',
    ]);
  });

  test('is not the lock of the one who left it', () => {
    const back = [resumed(MARA), joined(ODE), handedOver()];
    expect(found(...parked, ...back)).toEqual([]);
  });
});
