/** What an event would break, as P1 to P12 have it: for each property the cases in which it is broken. */
import type { PropertyId } from '../../safety/index.ts';
import type { PlanSource, PlanStep } from '../../job/plan.ts';
import type { Act } from './acts.ts';
import { NO, YES, type Diagram } from './diagrams.ts';
import type { Form } from './form.ts';
import type { Happening } from './happenings.ts';
import { STATEMENTS, type Scene } from './scene.ts';

export type Fault = readonly [PropertyId, Diagram];

const UNDOABLE: ReadonlySet<string> = new Set(['isolate', 'restore', 'open', 'close']);

function sourceOf(scene: Scene, at: number): PlanSource {
  return scene.plan.sources[at] as PlanSource;
}

function unproven(scene: Scene, source: PlanSource): Diagram {
  return scene.d.not(scene.anyFresh(source.proveSteps));
}

/** P1 and P5: exposed to what is live, or to what was proved dead once. */
function exposed(scene: Scene, step: PlanStep): Fault[] {
  const { d, plan } = scene;
  const faults = step.exposes.flatMap((at): Fault[] => {
    const source = sourceOf(scene, at);
    const stored = source.source.release !== undefined;
    return [
      ...scene.controlFault(source).map((fault): Fault => ['P1', fault]),
      ['P1', stored ? d.not(scene.anyFresh(source.releaseSteps)) : NO],
      ['P1', source.source.dead === undefined ? NO : unproven(scene, source)],
      /* Whether it was ever proved is not kept: not proved now is taken as the worse. */
      ['P5', source.proveSteps.length > 0 ? unproven(scene, source) : NO],
    ];
  });
  if (step.exposes.length === 0) return faults;
  plan.ends.forEach((end, at) => {
    if (end.kind !== 'prop' || at === step.end) return;
    const opens = plan.ofKind.open.filter((open) => plan.steps[open]?.end === at);
    faults.push(['P1', d.but(scene.at(`end ${at}`), scene.anyFresh(opens))]);
  });
  return faults;
}

function handsFirst(scene: Scene, step: PlanStep): Fault[] {
  if (!step.hands) return [];
  return scene.plan.sources
    .filter((source) => source.metalCase)
    .map((source): Fault => {
      const tested = scene.anyFresh([...source.caseSteps, ...source.proveSteps]);
      return ['P11', scene.d.not(tested)];
    });
}

/** P2 and P3: power comes back only where all is closed, everybody is clear, and no lock is left. */
function restored(scene: Scene, source: number, except: number, from: Form): Fault[] {
  return [
    ['P2', scene.anyEndOpen(from, except)],
    ['P3', scene.d.not(scene.anyFresh(scene.plan.ofKind.clear))],
    ['P3', scene.anyHold(sourceOf(scene, source).points)],
  ];
}

function inverseOf(scene: Scene, step: PlanStep): number {
  const { steps } = scene.plan;
  const undoes = (later: PlanStep): boolean => {
    switch (step.do) {
      case 'isolate':
        return (
          (later.do === 'restore' && later.point === step.point) ||
          (later.do === 'window' && later.source === step.source)
        );
      case 'restore':
        return later.do === 'isolate' && later.point === step.point;
      case 'open':
        return later.do === 'close' && later.end === step.end;
      case 'close':
        return later.do === 'open' && later.end === step.end;
      default:
        return false;
    }
  };
  return steps.find((later) => later.index > step.index && undoes(later))?.index ?? Infinity;
}

function isUndone(scene: Scene, step: PlanStep): Diagram {
  const { d } = scene;
  switch (step.do) {
    case 'isolate':
      return scene.closed(step.point);
    case 'restore':
      return scene.at(`open ${step.point}`);
    case 'open':
      return d.not(scene.at(`end ${step.end}`));
    case 'close':
      return scene.at(`end ${step.end}`);
    default:
      return NO;
  }
}

/** An earlier step needs nothing more before the later one. */
function isBehind(scene: Scene, earlier: PlanStep, later: PlanStep, from: Form): Diagram {
  const { d } = scene;
  const at = earlier.index;
  const done = scene.at(`done ${at}`);
  const out = d.but(scene.at(`out ${at}`), scene.applies(earlier));
  const reseated = earlier.do === 'reseat' ? d.not(from.anythingOff()) : NO;
  const stands =
    !UNDOABLE.has(earlier.do) || inverseOf(scene, earlier) < later.index
      ? YES
      : d.not(isUndone(scene, earlier));
  return d.any([scene.at(`left ${at}`), out, reseated, d.and(done, stands)]);
}

function inPlace(scene: Scene, step: PlanStep, by: number, from: Form): Fault[] {
  const { d, plan } = scene;
  const left = STATEMENTS.has(step.do) ? scene.at(`left ${step.index}`) : NO;
  const again = step.do === 'window' ? NO : d.or(scene.at(`done ${step.index}`), left);
  const faults = plan.steps.slice(0, step.after).map((earlier): Fault => {
    const behind = isBehind(scene, earlier, step, from);
    return ['P8', d.not(d.or(again, behind))];
  });
  faults.push(['P8', d.not(scene.applies(step))]);
  for (const at of step.needs) {
    const needed = plan.steps[at] as PlanStep;
    const out = d.but(scene.at(`out ${at}`), scene.applies(needed));
    faults.push(['P8', d.not(d.or(out, scene.isFresh(needed, by)))]);
  }
  plan.items.forEach((_, item) => {
    const worn = (how: 'on' | 'off') => scene.at(`${how} ${item} ${by}`);
    if (((step.wearing >> item) & 1) === 1) faults.push(['P8', d.not(worn('on'))]);
    if (((step.bare >> item) & 1) === 0) return;
    const off = plan.ofKind.wear.some((at) => (((plan.steps[at]?.off ?? 0) >> item) & 1) === 1);
    faults.push(['P8', off ? d.not(worn('off')) : worn('on')]);
  });
  return faults;
}

/** Done already, though nothing undid it. */
function again(scene: Scene, { step, by, first }: Act): Fault[] {
  const { d, of } = scene;
  const at = step.index;
  const done = scene.at(`done ${at}`);
  switch (step.do) {
    case 'lock':
      return [['P8', scene.at(`sure ${step.point} ${by}`)]];
    case 'unlock':
    case 'disconnect':
    case 'reseat':
      return []; /* which connectors there are is the engine's own record in both */
    case 'close':
      return [['P8', d.but(done, scene.at(`end ${step.end}`))]];
    case 'restore':
      return [['P8', d.and(done, scene.closed(step.point))]];
    default:
      break;
  }
  const faults: Fault[] = [];
  if (['choose', 'isolate', 'open', 'sign'].includes(step.do)) {
    faults.push(['P8', scene.isFresh(step, by)]);
  }
  if (!step.twice) return faults;
  const hands = of.people.map((_, p) => scene.at(`hand ${at} ${p}`));
  faults.push(['P8', first ? d.any(hands) : d.not(d.any(hands))]);
  faults.push(['P8', hands[by] ?? NO]);
  return faults;
}

function released(scene: Scene, step: PlanStep, waited: boolean): Fault[] {
  const { d } = scene;
  const source = sourceOf(scene, step.source);
  const { release } = source.source;
  if (release === undefined) return [];
  const faults: Fault[] = [];
  if ('discharge' in release) {
    for (const feed of source.fedBy) faults.push(['P7', d.not(scene.at(`isolated ${feed}`))]);
    if (source.waitMs > 0 && !waited) faults.push(['P7', YES]);
  }
  if (!('stated' in release)) faults.push(['P7', scene.at('doubted')]);
  return faults;
}

function acted(scene: Scene, { act, waited }: Happening & { kind: 'act' }, from: Form): Fault[] {
  const { step, by } = act;
  const faults = [
    ...exposed(scene, step),
    ...handsFirst(scene, step),
    ...inPlace(scene, step, by, from),
    ...again(scene, act),
    ...alive(scene, from, false),
  ];
  const { d } = scene;
  switch (step.do) {
    case 'restore':
      faults.push(...restored(scene, step.source, 0, from));
      break;
    case 'release':
      faults.push(...released(scene, step, waited));
      break;
    case 'prove': {
      for (const fault of scene.controlFault(sourceOf(scene, step.source)))
        faults.push(['P12', fault]);
      const withIt = scene.of.samples[step.index]?.counted === true;
      const counted = withIt
        ? d.or(scene.at('counted'), d.not(from.at(from.of.counted)))
        : scene.at('counted');
      faults.push(['P12', d.not(counted)]);
      break;
    }
    case 'unlock': {
      const firm = d.any(scene.present().map((p) => scene.at(`firm ${step.point} ${p}`)));
      faults.push(['P4', d.not(d.or(scene.at(`own ${step.point} ${by}`), firm))]);
      break;
    }
    default:
      break;
  }
  return faults;
}

/** P9: with tools down, or parked, only what belongs there. */
function alive(scene: Scene, from: Form, whileDown: boolean, whileParked = false): Fault[] {
  const { of } = scene;
  const parked = scene.d.or(from.at(of.parkedUsable), from.at(of.parkedShut));
  return [
    ['P9', whileDown ? NO : from.at(of.down)],
    ['P9', whileParked ? NO : parked],
  ];
}

function together(scene: Scene, from: Form): Diagram[] {
  const { plan, d } = scene;
  const points = plan.points.map((point) => point.index);
  return [
    scene.anyEndOpen(from),
    scene.anyHold(points),
    ...points.map((point) => d.not(scene.closed(point))),
  ];
}

function inWindow(scene: Scene, from: Form): Diagram {
  return scene.d.any(scene.plan.ofKind.window.map((at) => from.at(from.step(at).window)));
}

function parkedFaults(scene: Scene, what: Happening & { kind: 'parked' }, from: Form): Fault[] {
  const { d, plan } = scene;
  const faults: Fault[] = [['P10', inWindow(scene, from)], ...alive(scene, from, true)];
  if (what.as === 'usable') {
    for (const each of together(scene, from)) faults.push(['P10', each]);
    for (const source of plan.sources) {
      if (source.metalCase) faults.push(['P10', d.not(scene.anyFresh(source.caseSteps))]);
    }
    return faults;
  }
  for (const source of plan.sources) {
    if (source.points.length === 0) continue;
    for (const point of source.points) faults.push(['P10', d.not(scene.at(`open ${point}`))]);
    if (!what.lock) faults.push(['P10', d.not(scene.anyHold(source.points))]);
  }
  return faults;
}

/** What the event breaks in this scene; `from`: the engine's state before the move. */
export function faultsOf(scene: Scene, what: Happening, from: Form): Fault[] {
  const { d, plan } = scene;
  switch (what.kind) {
    case 'act':
      return acted(scene, what, from);
    case 'windowOpened': {
      const step = plan.steps[what.step] as PlanStep;
      return [
        ...inPlace(scene, step, what.by, from),
        ['P8', inWindow(scene, from)],
        ['P8', scene.at(`fresh ${what.step}`)],
        ...restored(scene, step.source, step.stillOpen, from),
        ...alive(scene, from, false),
      ];
    }
    case 'parked':
      return parkedFaults(scene, what, from);
    case 'handedBack': {
      const unsigned = plan.ofKind.sign.map((at) => d.not(scene.at(`done ${at}`)));
      return [
        ['P10', inWindow(scene, from)],
        ...[...together(scene, from), ...unsigned].map((each): Fault => ['P10', each]),
        ...alive(scene, from, false),
      ];
    }
    case 'left': {
      const own = d.any(plan.points.map(({ index }) => scene.at(`own ${index} ${what.person}`)));
      const others = d.any(
        scene.present().flatMap((p) => (p === what.person ? [] : [scene.at(`here ${p}`)])),
      );
      return [
        ['P4', what.by === what.person ? NO : own],
        ['P10', d.not(others)],
        ...alive(scene, from, true),
      ];
    }
    case 'handedOver':
      return [['P10', d.not(scene.at(`here ${what.to}`))], ...alive(scene, from, false)];
    case 'lockRemoved': {
      const point = plan.points.map(({ index }) => index);
      const hung = point
        .filter((at) => what.point === 'firm' || what.point === at)
        .map((at) => scene.at(`${what.point === 'firm' ? 'firm' : 'own'} ${at} ${what.person}`));
      return [
        ['P4', d.not(d.any(hung))],
        ['P4', scene.at(`here ${what.person}`)],
        ...alive(scene, from, false, true),
      ];
    }
    case 'leftOut':
    case 'corrected':
      return alive(scene, from, false);
    case 'toolsDown':
    case 'ended':
      return alive(scene, from, true);
    default:
      return [];
  }
}
