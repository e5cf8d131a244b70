import type { JobEvent } from '../job/events.ts';
import type { Property } from './property.ts';

export const end: Property = {
  id: 'P9',
  name: 'an end is an end',
  says: 'After a job is closed or stopped, only amendments.',
  explains:
    'An end is closed, refused or held as evidence; after it come amendments, erasures of ' +
    'private values, changes of keys, and what the program notes of itself. A parked job waits: ' +
    'it is resumed before anything else, though people may come, facts lapse and an absent ' +
    'owner’s lock be removed. With tools down people come and go, and there is a way back, a way ' +
    'out, and notes; a live window may always be closed. A job is opened once.',
  check(scene, event) {
    if (event.type === 'job.opened' && scene.stage !== 'notOpened') return 'a job is opened once';
    switch (scene.stage) {
      case 'ended':
        return isAfterword(event) ? null : `${event.type} after the end of the job`;
      case 'parked':
        return isAfterword(event) || isWhileParked(event)
          ? null
          : `${event.type} on a parked job before it is resumed`;
      case 'toolsDown':
        return isAfterword(event) || isWithToolsDown(event)
          ? null
          : `${event.type} with tools down`;
      default:
        return null;
    }
  },
};

function isAfterword({ type }: JobEvent): boolean {
  switch (type) {
    case 'amended':
    case 'disclosure.erased':
    case 'key.rotated':
    case 'program.noted':
    case 'clock.noted':
    case 'try.refused':
      return true;
    default:
      return false;
  }
}

function isWhileParked({ type }: JobEvent): boolean {
  switch (type) {
    case 'job.resumed':
    case 'person.joined':
    case 'fact.lapsed':
    case 'lock.removedFor':
    case 'tingle':
    case 'nearMiss':
    case 'caution.read':
      return true;
    default:
      return false;
  }
}

function isWithToolsDown({ type }: JobEvent): boolean {
  switch (type) {
    case 'job.resumed':
    case 'job.parked':
    case 'job.refused':
    case 'evidence.held':
    case 'fact.lapsed':
    case 'person.joined':
    case 'person.left':
    case 'tools.down':
    case 'window.closed':
    case 'tingle':
    case 'nearMiss':
    case 'caution.read':
      return true;
    default:
      return false;
  }
}
