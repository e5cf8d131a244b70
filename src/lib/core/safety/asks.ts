/** Questions that several properties put to a scene. */
import type { BookStep } from './book.ts';
import { FRESH, type Hold, type Present, type Scene } from './scene.ts';

export function presentPerson(scene: Scene, id: string): Present | undefined {
  return scene.people.find((person) => person.id === id);
}

/**
 * Everyone who works: all who are present, and the one who acts even if nobody wrote that they
 * came.
 */
export function workers(scene: Scene, by: string): string[] {
  const ids = scene.people.map((person) => person.id);
  return ids.includes(by) ? ids : [...ids, by];
}

export function ownHold(scene: Scene, point: number, owner: string): Hold | undefined {
  return scene.holds.find((hold) => hold.point === point && hold.owner === owner && !hold.firm);
}

/** A person's own locks and tags, without those that they left for the firm. */
export function ownHolds(scene: Scene, owner: string): Hold[] {
  return scene.holds.filter((hold) => hold.owner === owner && !hold.firm);
}

export function anyFresh(scene: Scene, steps: readonly number[]): boolean {
  return steps.some((step) => ((scene.steps[step] ?? 0) & FRESH) !== 0);
}

export function isProvenDead(scene: Scene, source: number): boolean {
  return anyFresh(scene, scene.book.sources[source]?.proveSteps ?? []);
}

/** Everything that was opened and not closed again, by id: ends and connectors. */
export function openEnds(scene: Scene): string[] {
  const ends = scene.book.ends.filter((_, index) => scene.ends[index] === true);
  const connectors = scene.connectors.filter((connector) => connector.open);
  return [...ends.map((end) => end.id), ...connectors.map((connector) => connector.id)];
}

/**
 * Why a source is not isolated and under control for everyone who works; null when it is.
 * A source without points has nothing to isolate.
 */
export function controlFault(
  scene: Scene,
  source: number,
  people: readonly string[],
): string | null {
  const points = scene.book.sources[source]?.points ?? [];
  for (const point of points) {
    const fault = pointFault(scene, point, people);
    if (fault !== null) return fault;
  }
  if (points.length === 0 || people.length < 2) return null;
  const inSight = points.every((point) => scene.book.points[point]?.control === 'exclusive');
  if (!inSight) return null;
  const without = people.find((id) => !points.some((point) => isLockedBy(scene, point, id)));
  return without === undefined
    ? null
    : `${without} has no lock on any plug, and a plug in sight covers one person alone`;
}

function pointFault(scene: Scene, index: number, people: readonly string[]): string | null {
  const point = scene.book.points[index];
  if (point === undefined) return null;
  if (scene.points[index] !== 'open') return `${point.label} is not isolated`;
  if (!anyFresh(scene, point.isolateSteps)) return `the isolation of ${point.label} has lapsed`;
  if (point.control === 'exclusive' && presentPerson(scene, scene.holders[index] ?? ''))
    return null;
  const without = people.find((id) =>
    point.control === 'tag' ? !isHeldBy(scene, index, id) : !isLockedBy(scene, index, id),
  );
  if (without === undefined) return null;
  if (point.control === 'exclusive') return `nobody keeps ${point.label} in sight`;
  return point.control === 'tag'
    ? `${without} has neither a lock nor a tag with a further measure on ${point.label}`
    : `${without} has no lock of their own on ${point.label}`;
}

function isLockedBy(scene: Scene, point: number, id: string): boolean {
  const hold = ownHold(scene, point, id);
  return hold !== undefined && hold.sure && hold.kind === 'lock';
}

function isHeldBy(scene: Scene, point: number, id: string): boolean {
  return ownHold(scene, point, id)?.sure === true;
}

/** Whether the fact of a step holds now; for things worn, this person's own. */
export function isFresh(scene: Scene, step: BookStep, by: string): boolean {
  const marked = ((scene.steps[step.index] ?? 0) & FRESH) !== 0;
  switch (step.do) {
    case 'isolate':
      return marked && scene.points[step.point] === 'open' && isKept(scene, step.point);
    case 'restore':
      return marked && scene.points[step.point] === 'closed';
    case 'lock':
      return scene.holds.some((hold) => hold.point === step.point && hold.sure);
    case 'wear':
      return presentPerson(scene, by)?.worn.includes(step.index) === true;
    case 'open':
      return marked && scene.ends[step.end] === true;
    case 'close':
      return marked && scene.ends[step.end] === false;
    default:
      return marked;
  }
}

/** Whether a plug in sight is still in somebody's sight; other points do not ask for it. */
function isKept(scene: Scene, point: number): boolean {
  return scene.book.points[point]?.control !== 'exclusive' || scene.holders[point] !== '';
}

/** Whether the outcomes that a step hangs on are the chosen ones. */
export function applies(scene: Scene, step: BookStep): boolean {
  return step.when.every(({ step: choice, options }) => {
    const chosen = scene.chosen.find((one) => one.step === choice);
    return chosen !== undefined && options.includes(chosen.option);
  });
}
