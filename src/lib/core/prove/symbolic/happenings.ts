/** What an event changes in a scene of diagrams, as `safety/advance.ts`, `acts.ts` and `lapses.ts` have it. */
import type { Lapse } from '../../checklist/model.ts';
import type { PlanStep } from '../../job/plan.ts';
import type { Act } from './acts.ts';
import { NO, YES, type Diagram } from './diagrams.ts';
import type { Form } from './form.ts';
import type { Scene } from './scene.ts';
import {
  clearHolder,
  endFact,
  endHolding,
  endProofs,
  energize,
  lapse,
  sourceOf,
  takeOff,
  undress,
  undressAll,
  unmark,
  unsure,
} from './scene-endings.ts';

export type Happening =
  | { readonly kind: 'act'; readonly act: Act; readonly waited: boolean }
  | {
      readonly kind: 'leftOut';
      readonly step: number;
      readonly applies: boolean;
      readonly when: Diagram;
    }
  | { readonly kind: 'corrected'; readonly step: number; readonly by: number }
  | {
      readonly kind: 'lapse';
      readonly what: Lapse;
      readonly source: number;
      readonly minutes: number;
      /** By step: where the event names it. */
      readonly ended: readonly Diagram[];
    }
  | { readonly kind: 'joined' | 'left' | 'resumed'; readonly person: number; readonly by: number }
  | { readonly kind: 'handedOver'; readonly from: number; readonly to: number }
  | { readonly kind: 'lockRemoved'; readonly person: number; readonly point: number | 'firm' }
  | {
      readonly kind: 'parked';
      readonly as: 'usable' | 'shut';
      readonly by: number;
      readonly lock: boolean;
    }
  | { readonly kind: 'toolsDown' | 'windowClosed' | 'ended' | 'handedBack' }
  | { readonly kind: 'windowOpened'; readonly step: number; readonly by: number }
  | {
      readonly kind: 'shown';
      readonly live: number;
      readonly caseLive: number;
      readonly doubt: boolean;
    };

function applyAct(scene: Scene, { act }: Happening & { kind: 'act' }, from: Form, to: Form): void {
  const { step, by, first } = act;
  const { d, plan } = scene;
  if (step.exposes.length > 0) unmark(scene, plan.ofKind.clear);
  if (first) {
    if (step.twice) {
      for (const p of scene.present()) scene.put(`hand ${step.index} ${p}`, p === by ? YES : NO);
    }
    if (step.do === 'open' || step.do === 'restore') applyKind(scene, act);
    return;
  }
  const proof = step.do === 'prove' ? sourceOf(scene, step.source) : undefined;
  const counts = proof ? d.not(d.any(scene.controlFault(proof))) : YES;
  applyKind(scene, act);
  for (const p of scene.present()) scene.put(`hand ${step.index} ${p}`, NO);
  const done = step.do === 'reseat' ? d.not(to.anythingOff()) : YES;
  scene.put(`done ${step.index}`, d.or(done, scene.at(`done ${step.index}`)));
  scene.put(`left ${step.index}`, NO);
  scene.put(`out ${step.index}`, NO);
  scene.put(`fresh ${step.index}`, d.and(done, counts));
  if (scene.of.samples[step.index]?.counted !== true) return;
  /* A proof records the count only where there was none. */
  scene.put('counted', YES, step.do === 'prove' ? d.not(from.at(from.of.counted)) : YES);
}

function applyKind(scene: Scene, { step, by, option }: Act): void {
  const { d, plan } = scene;
  const at = step.index;
  switch (step.do) {
    case 'isolate': {
      unsure(scene, step.point, d.not(scene.at(`open ${step.point}`)));
      endProofs(scene, step.source, YES);
      scene.put(`open ${step.point}`, YES);
      scene.put(`unknown ${step.point}`, NO);
      scene.put(`cut ${step.point}`, YES);
      clearHolder(scene, step.point, YES);
      scene.put(`holder ${step.point} ${by}`, YES);
      if ((plan.points[step.point]?.unlockSteps.length ?? 0) === 0) {
        for (const p of scene.present()) takeOff(scene, `firm ${step.point} ${p}`, step.point);
      }
      const all = sourceOf(scene, step.source).points.map((point) => scene.at(`open ${point}`));
      scene.put(`isolated ${step.source}`, d.all(all));
      return;
    }
    case 'restore':
      return energize(scene, step.source, [step.point], 'closed');
    case 'lock':
      scene.put(`own ${step.point} ${by}`, YES);
      scene.put(`sure ${step.point} ${by}`, YES);
      return;
    case 'unlock':
      takeOff(scene, `own ${step.point} ${by}`, step.point);
      for (const p of scene.present()) takeOff(scene, `firm ${step.point} ${p}`, step.point);
      return;
    case 'wear':
      for (const other of plan.ofKind.wear) {
        const worn = plan.steps[other] as PlanStep;
        const clashes = (worn.on & step.off) !== 0 || (worn.off & step.on) !== 0;
        if (clashes) undress(scene, worn, by, scene.at(`worn ${other} ${by}`));
      }
      scene.put(`worn ${at} ${by}`, YES);
      plan.items.forEach((_, item) => {
        if (((step.on >> item) & 1) === 1) scene.put(`on ${item} ${by}`, YES);
        if (((step.off >> item) & 1) === 1) scene.put(`off ${item} ${by}`, YES);
      });
      return;
    case 'open':
      scene.put(`end ${step.end}`, YES);
      return;
    case 'close':
      scene.put(`end ${step.end}`, NO);
      unmark(
        scene,
        plan.ofKind.open.filter((open) => plan.steps[open]?.end === step.end),
      );
      return;
    case 'choose': {
      const said = step.step.do === 'choose' ? Object.keys(step.step.options)[option] : undefined;
      for (const dependent of step.dependents) {
        const rule = plan.steps[dependent]?.when.find((each) => each.step === at);
        const ok = rule?.options.includes(said ?? '') === true;
        scene.put(`ok ${dependent} ${at}`, ok ? YES : NO);
      }
      return;
    }
    case 'case':
    case 'prove':
      scene.put('doubted', NO);
      for (const each of plan.steps) scene.put(`unchecked ${each.index}`, NO);
      return;
    case 'reading':
    case 'release':
      if (scene.of.samples[at]?.measured !== true) return;
      if (step.do === 'reading') {
        /* In doubt, it is checked on a known source first. */
        const doubted = scene.at('doubted');
        for (const each of plan.steps) scene.put(`unchecked ${each.index}`, NO, doubted);
        scene.put('doubted', NO);
      }
      scene.put(`unchecked ${at}`, YES);
      return;
    default:
      return;
  }
}

function applyCorrection(scene: Scene, step: PlanStep, by: number): void {
  const at = step.index;
  const done = scene.at(`done ${at}`);
  if (step.do === 'close') scene.put(`end ${step.end}`, YES, done);
  const own = step.do === 'wear' ? scene.at(`worn ${at} ${by}`) : NO;
  endFact(scene, step, scene.d.not(own));
  if (step.do === 'wear') undress(scene, step, by, YES);
  for (const name of ['done', 'fresh', 'left', 'out']) scene.put(`${name} ${at}`, NO);
  for (const dependent of step.dependents) scene.put(`ok ${dependent} ${at}`, NO);
  for (const p of scene.present()) scene.put(`hand ${at} ${p}`, NO);
  scene.put(`unchecked ${at}`, NO);
  /* The count is taken back with the step that recorded it; a proof records one only where no step counts. */
  const counts = scene.of.samples[at]?.counted === true;
  if (counts && (step.do !== 'prove' || !hasCountingStep(scene))) scene.put('counted', NO);
}

function hasCountingStep(scene: Scene): boolean {
  return scene.plan.steps.some(({ step }) => step.do === 'confirm' && step.counts === 'sources');
}

function leaveFirmLock(scene: Scene, by: number): void {
  const { d, plan } = scene;
  const bare = plan.sources.flatMap(({ points }) => {
    const first = points[0];
    return first === undefined ? [] : [[first, d.not(scene.anyHold(points))] as const];
  });
  const hung = new Map<number, Diagram>(
    plan.points.map(({ index }) => [index, scene.at(`own ${index} ${by}`)]),
  );
  for (const { index } of plan.points) takeOff(scene, `own ${index} ${by}`, index);
  for (const [at, when] of bare) hung.set(at, d.or(hung.get(at) ?? NO, when));
  for (const [at, when] of hung) scene.put(`firm ${at} ${by}`, YES, when);
}

function depart(scene: Scene, person: number): void {
  scene.put(`here ${person}`, NO);
  undressAll(scene, person);
  for (const { index } of scene.plan.points) {
    endHolding(scene, index, scene.at(`holder ${index} ${person}`));
  }
}

function handOver(scene: Scene, from: number, to: number): void {
  const { d, plan } = scene;
  for (const { index } of plan.points) {
    const goes = d.but(scene.at(`own ${index} ${from}`), scene.at(`own ${index} ${to}`));
    scene.put(`sure ${index} ${to}`, scene.at(`sure ${index} ${from}`), goes);
    scene.put(`own ${index} ${to}`, YES, goes);
  }
  for (const { index } of plan.points) takeOff(scene, `own ${index} ${from}`, index);
  depart(scene, from);
}

/** What the event changes. `from` and `to`: the engine's state before the move and after it. */
export function happen(scene: Scene, what: Happening, from: Form, to: Form): void {
  const { plan } = scene;
  switch (what.kind) {
    case 'act':
      return applyAct(scene, what, from, to);
    case 'leftOut':
      scene.put(`left ${what.step}`, what.applies ? YES : NO, what.when);
      scene.put(`out ${what.step}`, what.applies ? NO : YES, what.when);
      for (const p of scene.present()) scene.put(`hand ${what.step} ${p}`, NO, what.when);
      return;
    case 'corrected':
      return applyCorrection(scene, plan.steps[what.step] as PlanStep, what.by);
    case 'lapse':
      return lapse(scene, what.what, what);
    case 'joined':
      scene.put(`here ${what.person}`, YES);
      undressAll(scene, what.person);
      return lapse(scene, 'joined');
    case 'left':
      for (const { index } of plan.points) takeOff(scene, `own ${index} ${what.person}`, index);
      unmark(scene, plan.ofKind.clear);
      return depart(scene, what.person);
    case 'resumed':
      scene.put(`here ${what.person}`, YES);
      return lapse(scene, 'resumed');
    case 'handedOver':
      handOver(scene, what.from, what.to);
      return lapse(scene, 'handedOver');
    case 'lockRemoved':
      for (const { index, source } of plan.points) {
        if (what.point !== 'firm' && what.point !== index) continue;
        const name = `${what.point === 'firm' ? 'firm' : 'own'} ${index} ${what.person}`;
        endProofs(scene, source, scene.at(name));
        takeOff(scene, name, index);
      }
      return unmark(scene, plan.ofKind.clear);
    case 'parked':
      if (what.lock) leaveFirmLock(scene, what.by);
      lapse(scene, 'parked');
      for (const p of scene.present()) {
        scene.put(`here ${p}`, NO);
        undressAll(scene, p);
      }
      return;
    case 'windowOpened': {
      const step = plan.steps[what.step] as PlanStep;
      scene.put(`done ${what.step}`, YES);
      scene.put(`fresh ${what.step}`, YES);
      energize(scene, step.source, sourceOf(scene, step.source).points, 'closed');
      return lapse(scene, 'windowOpened', { source: step.source });
    }
    case 'windowClosed':
      return unmark(scene, plan.ofKind.window);
    case 'shown':
      if (what.live >= 0) lapse(scene, 'reEnergized', { source: what.live });
      if (what.caseLive >= 0) unmark(scene, sourceOf(scene, what.caseLive).caseSteps);
      if (what.doubt) lapse(scene, 'instrumentDoubt');
      return;
    default:
      return;
  }
}
