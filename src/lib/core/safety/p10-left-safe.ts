import type { EventBodies } from '../job/events.ts';
import { anyFresh, openEnds, ownHolds, presentPerson } from './asks.ts';
import type { Property } from './property.ts';
import { DONE, stepsOf, type Scene } from './scene.ts';

export const leftSafe: Property = {
  id: 'P10',
  name: 'left safe',
  says:
    'A job ends, or a person leaves it, only parked usable (put together, tested), parked shut ' +
    '(isolated so that the household cannot undo it, ends insulated and covered, tagged, ' +
    'somebody told, an owner and a date), refused, held as evidence, or handed back; there is ' +
    'nothing between.',
  explains:
    'Handed back: nothing open, no lock or tag of anyone, every point restored, signed. Parked ' +
    'usable: nothing open, no lock, every point restored, and a fresh case test of each source ' +
    'behind a metal case. Parked shut: every source with points isolated at each of them with at ' +
    'least one lock, every open end listed as insulated with a reason, and a date. Who was told ' +
    'and who owns the date are private values that may be erased, so no property reads them. No ' +
    'live window is open at any of these. Nobody leaves a lock behind, and the last one does not ' +
    'simply leave.',
  watches: ['job.closed', 'job.parked', 'person.left', 'job.handedOver'],
  check(scene, event) {
    switch (event.type) {
      case 'job.closed':
        return closedFault(scene, event.body);
      case 'job.parked':
        if (scene.window !== -1) return 'a live window is open';
        return event.body.as === 'usable' ? usableFault(scene) : shutFault(scene, event.body);
      case 'person.left':
        return leaverFault(scene, event.body);
      case 'job.handedOver':
        return presentPerson(scene, event.body.to) === undefined
          ? `${event.body.to} is not here to take the job over`
          : null;
      default:
        return null;
    }
  },
};

function closedFault(scene: Scene, body: EventBodies['job.closed']): string | null {
  if (scene.window !== -1) return 'a live window is open';
  if (body.openEnds.length > 0) return `the closing lists open ends: ${body.openEnds.join(', ')}`;
  const fault = togetherFault(scene);
  if (fault !== null) return fault;
  const unsigned = stepsOf(scene, 'sign').some((step) => ((scene.steps[step] ?? 0) & DONE) === 0);
  return unsigned ? 'the job was not signed' : null;
}

function usableFault(scene: Scene): string | null {
  const fault = togetherFault(scene);
  if (fault !== null) return fault;
  const untested = scene.book.sources.find(
    (source) => source.metalCase && !anyFresh(scene, source.caseSteps),
  );
  return untested === undefined
    ? null
    : `the case was not tested since ${untested.label} came back`;
}

function togetherFault(scene: Scene): string | null {
  const open = openEnds(scene);
  if (open.length > 0) return `still open: ${open.join(', ')}`;
  const hold = scene.holds[0];
  if (hold !== undefined)
    return `the lock ${hold.number} of ${hold.firm ? 'the firm' : hold.owner} is still on`;
  const point = scene.book.points.find((_, index) => scene.points[index] !== 'closed');
  return point === undefined ? null : `${point.label} is not restored`;
}

function shutFault(scene: Scene, body: EventBodies['job.parked']): string | null {
  for (const source of scene.book.sources) {
    if (source.points.length === 0) continue;
    const live = source.points.find((point) => scene.points[point] !== 'open');
    if (live !== undefined) {
      return `${scene.book.points[live]?.label ?? 'a point'} is not isolated`;
    }
    const locked =
      body.lock !== undefined ||
      scene.holds.some((hold) => hold.kind === 'lock' && source.points.includes(hold.point));
    if (!locked) return `no lock keeps the household from restoring ${source.label}`;
  }
  const loose = openEnds(scene).find(
    (id) => !body.left.some((end) => end.end === id && end.insulated && end.why.trim() !== ''),
  );
  if (loose !== undefined) return `${loose} is open and not listed as insulated with a reason`;
  return /^\d{4}-\d{2}-\d{2}/u.test(body.until) ? null : 'no date says until when it is parked';
}

function leaverFault(scene: Scene, { person, locks }: EventBodies['person.left']): string | null {
  const left = ownHolds(scene, person).find((hold) => !locks.includes(hold.number));
  if (left !== undefined) return `${person} leaves the lock ${left.number} behind`;
  const alone = scene.people.every((one) => one.id === person);
  const going = scene.stage === 'atWork' || scene.stage === 'toolsDown';
  return alone && going ? 'the last person leaves a job that neither ended nor is parked' : null;
}
