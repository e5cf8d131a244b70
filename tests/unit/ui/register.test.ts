import { describe, expect, test } from 'vitest';
import type { PointView } from '#lib/core/job/view-types.ts';
import { bareFor, heldPoints, registerOf } from '#lib/ui/job/register.ts';
import { readNote, unread } from '#lib/ui/job/notices.ts';
import {
  and,
  at,
  does,
  goodResult,
  kiln,
  MARA,
  ODE,
  views,
  type Job,
} from '../../support/job-builder.ts';

const pointOf = (step: string) => (step === 'breaker-lock' ? 'kiln-breaker' : undefined);
const register = (job: Job) => registerOf(views(job), job.events, pointOf);
const joined = and(at(kiln(), 'cover-off'), { command: 'join', person: ODE });
const all = (job: Job): readonly PointView[] => views(job).sources.flatMap(({ points }) => points);

describe('the register of locks', () => {
  test('names each lock with its place, its owner and the time it was hung', () => {
    const [lock] = register(joined);
    expect(lock).toMatchObject({ number: 'mara-0', owner: MARA.id, standing: 'own' });
    const point = all(joined).find(({ id }) => id === lock?.point);
    expect(lock?.label).toBe(point?.label);
  });

  test('a lock whose owner was parked away is a stray, and stands first', () => {
    const parked = and(
      joined,
      does('breaker-lock', goodResult(joined, 'breaker-lock', 'ode'), 'ode'),
      {
        command: 'park',
        as: 'shut',
        told: 'the studio keeper',
        owner: 'dispatch',
        until: '2099-12-02',
        left: [{ end: 'cover', insulated: true, why: 'a part is on its way' }].slice(0, 0),
      },
    );
    const back = and(parked, { command: 'resume', by: 'ode' });
    expect(register(back).map(({ owner, standing }) => [owner, standing])).toEqual([
      ['mara', 'stray'],
      ['ode', 'own'],
    ]);
    const removed = and(back, {
      command: 'removeLockFor',
      lock: 'mara-0',
      away: 'her van is gone',
      tried: ['called'],
      informed: 'the key is held at dispatch',
      authorizedBy: 'officer',
      by: 'ode',
    });
    const [removal] = unread(removed.events, MARA.id);
    expect(removal?.body.lock).toBe('mara-0');
    expect(unread(removed.events, 'ode')).toEqual([]);
    const told = { ...removed.events[0], type: 'program.noted', by: MARA.id };
    const note = { ...told, body: { what: removal === undefined ? '' : readNote(removal) } };
    expect(unread([...removed.events, note as never], MARA.id)).toEqual([]);
  });

  test('names where the lock of the one hangs and none of the other does', () => {
    expect(bareFor(views(joined), 'mara', 'ode').map(({ id }) => id)).toEqual(
      register(joined).map(({ point }) => point),
    );
    expect(bareFor(views(joined), 'ode', 'mara')).toEqual([]);
    expect(heldPoints(views(joined)).length).toBeGreaterThan(0);
  });
});
