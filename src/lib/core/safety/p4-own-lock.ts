import type { EventBodies, JobEvent } from '../job/events.ts';
import { ownHold, ownHolds, presentPerson } from './asks.ts';
import type { BookStep } from './book.ts';
import type { Property } from './property.ts';
import type { Scene } from './scene.ts';

export const ownLock: Property = {
  id: 'P4',
  name: 'own lock, own key',
  says:
    'A lock comes off by the hand of the person who put it on, or through the complete ' +
    'absent-owner procedure.',
  explains:
    'The procedure is complete when the owner is away, three facts are written (that they are ' +
    'away, how they were sought, how they will know before they work here again), and someone ' +
    'other than the one who cuts the lock authorizes it (29 CFR 1910.147(e)(3)). At a handover ' +
    'the incoming person has a lock on every point where the outgoing one’s comes off, hung ' +
    'before or named in the handover. The firm’s own lock, left while a job was parked, comes ' +
    'off by the hand of whoever unlocks that point.',
  watches: ['step.done', 'person.left', 'job.handedOver', 'lock.removedFor'],
  check(scene, event, step) {
    switch (event.type) {
      case 'step.done':
        return step?.do === 'unlock' ? unlockFault(scene, step, event) : null;
      case 'person.left':
        return leaverFault(scene, event.by, event.body);
      case 'job.handedOver':
        return handoverFault(scene, event.by, event.body);
      case 'lock.removedFor':
        return absentOwnerFault(scene, event.by, event.body);
      default:
        return null;
    }
  },
};

function unlockFault(
  scene: Scene,
  step: BookStep,
  event: Extract<JobEvent, { type: 'step.done' }>,
): string | null {
  const own = ownHold(scene, step.point, event.by);
  const firm = scene.holds.some((hold) => hold.point === step.point && hold.firm);
  if (own === undefined && !firm) return `${event.by} has no lock there to take off`;
  const named = event.body.result.lock;
  const others = scene.holds.some(
    (hold) =>
      hold.point === step.point && hold.number === named && !hold.firm && hold.owner !== event.by,
  );
  if (!others || own?.number === named) return null;
  return `${event.by} took off the lock ${named ?? ''} of somebody else`;
}

function leaverFault(
  scene: Scene,
  by: string,
  { person, locks }: EventBodies['person.left'],
): string | null {
  if (locks.length === 0) return null;
  if (by !== person) return `${by} took off the locks of ${person}`;
  const own = ownHolds(scene, person).map((hold) => hold.number);
  const strange = locks.find((number) => !own.includes(number));
  return strange === undefined ? null : `the lock ${strange} is not one of ${person}`;
}

function handoverFault(
  scene: Scene,
  by: string,
  { from, to, lock }: EventBodies['job.handedOver'],
): string | null {
  const own = ownHolds(scene, from);
  if (own.length === 0) return null;
  if (by !== from) return `${by} took off the locks of ${from}`;
  if (lock !== undefined && lock !== '') return null;
  const uncovered = own.find((hold) => ownHold(scene, hold.point, to) === undefined);
  if (uncovered === undefined) return null;
  const label = scene.book.points[uncovered.point]?.label ?? 'a point';
  return `the lock of ${from} came off ${label} before one of ${to} was on`;
}

function absentOwnerFault(
  scene: Scene,
  by: string,
  body: EventBodies['lock.removedFor'],
): string | null {
  const { lock, owner, away, tried, informed, authorizedBy } = body;
  if (!scene.holds.some((hold) => hold.number === lock && hold.owner === owner)) {
    return `no lock ${lock} of ${owner} is known`;
  }
  if (presentPerson(scene, owner) !== undefined)
    return `${owner} is here and takes off their own lock`;
  const facts = [away, informed, ...tried];
  if (tried.length === 0 || facts.some((fact) => fact.trim() === '')) {
    return 'the absent-owner procedure is not complete: away, sought, informed';
  }
  if (authorizedBy.trim() === '' || authorizedBy === by) {
    return 'nobody but the one who removed the lock authorized it';
  }
  return null;
}
