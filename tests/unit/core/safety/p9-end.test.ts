import { describe, expect, test } from 'vitest';
import type { EventType } from '#lib/core/job/events.ts';
import { POLISHER } from '../../../support/polisher.ts';
import {
  MARA,
  ODE,
  broken,
  closed,
  corrected,
  did,
  handedOver,
  joined,
  lapsed,
  left,
  notDone,
  opened,
  other,
  parkedShut,
  removedFor,
  resumed,
  toolsDown,
  tried,
  windowClosed,
  windowOpened,
  type Happening,
} from '../../../support/trace.ts';

const refused = other('job.refused', { why: 'no ground', left: [] });
const held = other('evidence.held', { why: 'burn mark' });
const each: Readonly<Record<EventType, Happening>> = {
  'job.opened': opened(MARA),
  'person.joined': joined(ODE),
  'person.left': left(ODE),
  'caution.read': other('caution.read', { step: 'told' }),
  'step.done': did('told'),
  'step.notDone': notDone('told'),
  'step.corrected': corrected('told'),
  'try.refused': tried(),
  'fact.lapsed': lapsed('leftSight'),
  'window.opened': windowOpened('ohms'),
  'window.closed': windowClosed(),
  'job.parked': parkedShut(),
  'job.resumed': resumed(),
  'job.handedOver': handedOver(),
  'job.rebased': other('job.rebased', {
    checklist: { id: 'polisher', revision: 9, sha256: '' },
    edits: [],
    why: 'new',
  }),
  'lock.removedFor': removedFor(),
  tingle: other('tingle', { what: 'hand' }),
  nearMiss: other('nearMiss', { what: 'slipped' }),
  'tools.down': toolsDown(),
  'job.refused': refused,
  'evidence.held': held,
  'clock.noted': other('clock.noted', { what: 'restart', seconds: 5 }),
  'program.noted': other('program.noted', { what: 'new version' }),
  'disclosure.erased': other('disclosure.erased', { digest: 'd', why: 'asked' }),
  'key.rotated': other('key.rotated', { person: MARA, key: 'k2' }),
  'job.closed': closed(),
  amended: other('amended', { about: 'told', text: 'at noon' }),
};

/** The kinds of event that break P9 right after these. */
function forbiddenAfter(...happenings: Happening[]): EventType[] {
  return (Object.keys(each) as EventType[]).filter((type) =>
    broken(POLISHER, [opened(MARA), ...happenings, each[type]]).some((one) =>
      one.startsWith('P9 '),
    ),
  );
}

const afterwards: EventType[] = [
  'amended',
  'disclosure.erased',
  'key.rotated',
  'program.noted',
  'clock.noted',
  'try.refused',
];
const allBut = (...allowed: EventType[]) =>
  (Object.keys(each) as EventType[]).filter((type) => ![...afterwards, ...allowed].includes(type));

describe('P9: an end is an end', () => {
  test('passes with an amendment after the end', () => {
    expect(
      broken(POLISHER, [opened(MARA), refused, other('amended', { about: 'x', text: 'y' })]),
    ).toEqual([]);
  });

  test('is broken by a step after the end', () => {
    expect(broken(POLISHER, [opened(MARA), refused, did('told')])).toEqual(['P9 told']);
  });

  test.each([
    ['closed', closed()],
    ['refused', refused],
    ['held as evidence', held],
  ])('after a job is %s, only what comes after an end', (_, end) => {
    expect(forbiddenAfter(end)).toEqual(allBut());
  });

  test('a parked job is resumed before it goes on', () => {
    expect(forbiddenAfter(parkedShut())).toEqual(
      allBut(
        'job.resumed',
        'person.joined',
        'fact.lapsed',
        'lock.removedFor',
        'tingle',
        'nearMiss',
        'caution.read',
      ),
    );
    expect(forbiddenAfter(parkedShut(), resumed())).toEqual(['job.opened']);
  });

  test('with tools down there is a way back, a way out, and notes', () => {
    expect(forbiddenAfter(toolsDown())).toEqual(
      allBut(
        'job.resumed',
        'job.parked',
        'job.refused',
        'evidence.held',
        'fact.lapsed',
        'person.joined',
        'person.left',
        'window.closed',
        'tools.down',
        'tingle',
        'nearMiss',
        'caution.read',
      ),
    );
    expect(forbiddenAfter(toolsDown(), resumed())).toEqual(['job.opened']);
  });

  test('a job is opened once', () => {
    expect(forbiddenAfter()).toEqual(['job.opened']);
  });
});
