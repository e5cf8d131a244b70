/** How facts end in a scene of diagrams, as `safety/facts.ts` and `safety/lapses.ts` have it. */
import type { Lapse } from '../../checklist/model.ts';
import { LONG_ABSENCE_MINUTES, type PlanSource, type PlanStep } from '../../job/plan.ts';
import { NO, YES, type Diagram } from './diagrams.ts';
import type { Scene } from './scene.ts';

export function unmark(scene: Scene, steps: readonly number[], when: Diagram = YES): void {
  for (const at of steps) scene.put(`fresh ${at}`, NO, when);
}

export function sourceOf(scene: Scene, at: number): PlanSource {
  return scene.plan.sources[at] as PlanSource;
}

export function endProofs(scene: Scene, source: number, when: Diagram): void {
  unmark(scene, sourceOf(scene, source).proveSteps, when);
}

export function unsure(scene: Scene, point: number, when: Diagram): void {
  for (const p of scene.present()) scene.put(`sure ${point} ${p}`, NO, when);
}

export function clearHolder(scene: Scene, point: number, when: Diagram): void {
  for (const p of scene.present()) scene.put(`holder ${point} ${p}`, NO, when);
}

/** Of what only this step put on or took off nothing is known any more. */
export function undress(scene: Scene, step: PlanStep, person: number, when: Diagram): void {
  scene.put(`worn ${step.index} ${person}`, NO, when);
  scene.plan.items.forEach((_, item) => {
    if (((step.on >> item) & 1) === 1) scene.put(`on ${item} ${person}`, NO, when);
    if (((step.off >> item) & 1) === 1) scene.put(`off ${item} ${person}`, NO, when);
  });
}

export function undressAll(scene: Scene, person: number): void {
  for (const at of scene.plan.ofKind.wear) {
    undress(scene, scene.plan.steps[at] as PlanStep, person, YES);
  }
}

export function endFact(scene: Scene, step: PlanStep, when: Diagram): void {
  if (when === NO) return;
  unmark(scene, [step.index], when);
  if (step.do === 'wear') {
    for (const p of scene.present()) undress(scene, step, p, when);
  }
  if (step.do === 'lock') unsure(scene, step.point, when);
  if (step.do !== 'isolate') return;
  scene.put(`cut ${step.point}`, NO, when);
  clearHolder(scene, step.point, when);
  endProofs(scene, step.source, when);
}

function held(scene: Scene, point: number): Diagram {
  return scene.d.any(scene.present().map((p) => scene.at(`holder ${point} ${p}`)));
}

function endProofsIfBare(scene: Scene, point: number, when: Diagram): void {
  const { d, plan } = scene;
  const kept = d.or(held(scene, point), scene.anyHold([point]));
  endProofs(scene, plan.points[point]?.source ?? -1, d.but(when, kept));
}

export function endHolding(scene: Scene, point: number, when: Diagram): void {
  const had = scene.d.and(when, held(scene, point));
  if (had === NO) return;
  clearHolder(scene, point, had);
  endProofsIfBare(scene, point, had);
}

export function takeOff(scene: Scene, name: string, point: number, when: Diagram = YES): void {
  const gone = scene.d.and(when, scene.at(`${name}`));
  if (gone === NO) return;
  scene.put(name, NO, gone);
  scene.put(name.replace('own', 'sure'), NO, gone);
  endProofsIfBare(scene, point, gone);
}

export function energize(
  scene: Scene,
  source: number,
  points: readonly number[],
  position: 'closed' | 'unknown',
): void {
  const { d } = scene;
  for (const at of points) {
    const was = scene.closed(at);
    scene.put(`unknown ${at}`, position === 'unknown' ? d.not(was) : NO);
    scene.put(`open ${at}`, NO);
    clearHolder(scene, at, YES);
    unsure(scene, at, YES);
  }
  scene.put(`isolated ${source}`, NO);
  const own = sourceOf(scene, source);
  unmark(scene, [...own.proveSteps, ...own.caseSteps, ...fedReleases(scene, source)]);
}

/** Releases of the source itself, and of each charge that it fills. */
function fedReleases(scene: Scene, source: number): number[] {
  return scene.plan.sources.flatMap((each) => {
    const stored = each.source.release !== undefined && 'discharge' in each.source.release;
    const fed = stored && each.fedBy.includes(source);
    return fed || each.index === source ? each.releaseSteps : [];
  });
}

function electricalProofs(scene: Scene): void {
  for (const source of scene.plan.sources) if (source.electrical) unmark(scene, source.proveSteps);
}

function endSuspended(scene: Scene): void {
  const { ofKind, steps, points } = scene.plan;
  for (const list of [ofKind.prove, ofKind.tell, ofKind.clear]) unmark(scene, list);
  for (const at of ofKind.wear) endFact(scene, steps[at] as PlanStep, YES);
  for (const point of points) endHolding(scene, point.index, YES);
}

export function lapse(
  scene: Scene,
  what: Lapse,
  said: { source?: number; minutes?: number; ended?: readonly Diagram[] } = {},
): void {
  const { d, plan } = scene;
  const { ofKind, steps, points, sources } = plan;
  switch (what) {
    case 'leftSight':
      electricalProofs(scene);
      for (const point of points) {
        if (point.control !== 'exclusive') continue;
        endHolding(scene, point.index, d.not(scene.anyHold([point.index])));
      }
      if ((said.minutes ?? 0) >= LONG_ABSENCE_MINUTES) {
        unmark(scene, ofKind.tell);
        for (const at of ofKind.release) {
          const release = sources[steps[at]?.source ?? -1]?.source.release;
          if (release !== undefined && 'cool' in release) unmark(scene, [at]);
        }
      }
      break;
    case 'panelTouched':
      electricalProofs(scene);
      break;
    case 'reEnergized':
      energize(scene, said.source ?? -1, sources[said.source ?? -1]?.points ?? [], 'unknown');
      break;
    case 'moved':
      for (const at of ofKind.open) {
        if (plan.ends[steps[at]?.end ?? -1]?.kind === 'prop') unmark(scene, [at]);
      }
      break;
    case 'instrumentDoubt':
      scene.put('doubted', YES);
      for (const step of steps) {
        const unchecked = scene.at(`unchecked ${step.index}`);
        endFact(scene, step, unchecked);
        scene.put(`unchecked ${step.index}`, NO);
      }
      break;
    case 'joined':
      unmark(scene, [...ofKind.clear, ...ofKind.tell]);
      break;
    case 'parked':
    case 'resumed':
    case 'handedOver':
      endSuspended(scene);
      break;
    case 'windowOpened':
      endProofs(scene, said.source ?? -1, YES);
      break;
    case 'time':
      break;
  }
  for (const step of steps) {
    if (step.unless.includes(what)) endFact(scene, step, YES);
    endFact(scene, step, said.ended?.[step.index] ?? NO);
  }
}
