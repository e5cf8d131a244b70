/**
 * The standing interlocks over a row: one check each, by the id that the engine gives it. A check answers
 * only yes or no; what covers a step, and which are taken out, is the engine's own table.
 */
import { INTERLOCKS } from '../../job/interlocks.ts';
import type { Plan, PlanPoint, PlanSource, PlanStep } from '../../job/plan.ts';
import { CLOSED, FRESH, NOT_APPLICABLE, OPEN, PART, SETTLED } from '../../job/state.ts';
import type { RowView } from './row-view.ts';

/** Whether the interlock keeps this step closed to this person. `waited`: every wait that began is over. */
type Check = (view: RowView, step: PlanStep, by: number, waited: boolean) => boolean;

function isSecondHand(view: RowView, step: PlanStep): boolean {
  return step.twice && (view.at(step.index) & PART) !== 0;
}

function mayRepeat(view: RowView, step: PlanStep, by: number): boolean {
  const mark = view.at(step.index);
  const { layout } = view;
  switch (step.do) {
    case 'isolate':
      if (view.at(layout.points + step.point) !== OPEN) return true;
      return (
        view.plan.points[step.point]?.control === 'exclusive' &&
        view.at(layout.holders + step.point) === 0
      );
    case 'restore':
      return view.at(layout.points + step.point) !== CLOSED || isSecondHand(view, step);
    case 'lock':
      return !view.hasSureLock(step.point, by);
    case 'unlock':
      return isUnlockable(view, step.point, by);
    case 'open':
    case 'close':
    case 'disconnect':
      return true;
    case 'wear':
      return (mark & SETTLED) === 0 || (!view.isFresh(step, by) && view.isWanted(step));
    case 'reseat':
      return view.isOffAbove(step.index);
    case 'window':
      return !view.isSettled(step.index) || step.allows.some((at) => !view.isSettled(at));
    case 'clear':
      return (mark & SETTLED) === 0 || view.isWanted(step);
    default:
      if ((mark & SETTLED) === 0) return true;
      if ((mark & FRESH) === 0 && view.isWanted(step)) return true;
      return (step.do === 'case' || step.do === 'prove') && view.at(layout.doubted) !== 0;
  }
}

function isUnlockable(view: RowView, point: number, by: number): boolean {
  if (view.own(point, by) !== 0) return true;
  for (let person = 0; person < view.crew; person++)
    if (view.firm(point, person) !== 0) return true;
  return false;
}

function isTwice(view: RowView, step: PlanStep, by: number): boolean {
  if ((view.at(step.index) & NOT_APPLICABLE) !== 0) return true;
  if (!mayRepeat(view, step, by)) return step.do !== 'unlock';
  if (!isSecondHand(view, step)) return false;
  return view.at(view.layout.hands.get(step.index) as number) === by + 1;
}

function lacksNeed(view: RowView, step: PlanStep, by: number): boolean {
  for (const need of step.needs) {
    if ((view.at(need) & NOT_APPLICABLE) !== 0) continue;
    if (!view.isFresh(view.steps[need] as PlanStep, by)) return true;
  }
  return false;
}

function isCaseOpen(view: RowView): boolean {
  for (const source of view.plan.sources) {
    if (!source.metalCase) continue;
    if (view.at(view.layout.caseLive + source.index) !== 0) return true;
    if (view.isProven(source.index) && view.allPointsOpen(source.index)) continue;
    if (!view.anyFresh(source.caseSteps)) return true;
  }
  return false;
}

function isUnlockedFor(view: RowView, point: number): boolean {
  for (let person = 0; person < view.crew; person++) {
    if (view.isHere(person) && !view.isOwnSure(point, person)) return true;
  }
  return false;
}

function isUncontrolled(view: RowView, source: PlanSource): boolean {
  const { plan, layout } = view;
  let lockedElsewhere = false;
  for (const at of source.points) {
    if (plan.points[at]?.control === 'exclusive') continue;
    if (isUnlockedFor(view, at)) return true;
    lockedElsewhere = true;
  }
  const many = view.presentCount() > 1;
  for (const at of source.points) {
    if (plan.points[at]?.control !== 'exclusive') continue;
    const holder = view.at(layout.holders + at) - 1;
    const locked = !isUnlockedFor(view, at);
    if (!locked && !(holder >= 0 && view.isHere(holder))) return true;
    if (many && !lockedElsewhere && !locked) return true;
  }
  return false;
}

function isUnproven(view: RowView, source: PlanSource): boolean {
  return source.source.dead !== undefined && !view.isProven(source.index);
}

function isLive(view: RowView, at: number): boolean {
  const source = view.plan.sources[at] as PlanSource;
  return (
    !view.allPointsOpen(at) ||
    isUncontrolled(view, source) ||
    (source.source.release !== undefined && !view.anyFresh(source.releaseSteps)) ||
    isUnproven(view, source)
  );
}

function isPropUnsure(view: RowView, step: PlanStep): boolean {
  const { plan, layout } = view;
  for (let end = 0; end < plan.ends.length; end++) {
    if (plan.ends[end]?.kind !== 'prop' || view.at(layout.ends + end) === 0) continue;
    const steps = plan.ofKind.open.filter((at) => plan.steps[at]?.end === end);
    if (!steps.includes(step.index) && !view.anyFresh(steps)) return true;
  }
  return false;
}

export function isAnyEndOpen(view: RowView, except: number): boolean {
  if (view.isAnythingOff()) return true;
  for (let end = 0; end < view.plan.ends.length; end++) {
    if (((except >> end) & 1) === 0 && view.at(view.layout.ends + end) !== 0) return true;
  }
  return false;
}

export function isAnyLocked(view: RowView, points: readonly number[]): boolean {
  for (const point of points) if (view.isLockedAt(point)) return true;
  return false;
}

export function isAnyCut(view: RowView): boolean {
  for (let point = 0; point < view.plan.points.length; point++) {
    if (view.at(view.layout.points + point) !== CLOSED) return true;
  }
  return false;
}

function isEndWrong(view: RowView, step: PlanStep): boolean {
  const open = view.at(view.layout.ends + step.end) !== 0;
  if (step.do === 'close') return !open;
  if (!open || isSecondHand(view, step)) return false;
  const prop = view.plan.ends[step.end]?.kind === 'prop';
  return !(prop && (view.at(step.index) & FRESH) === 0 && view.isWanted(step));
}

function isRestoreEarly(view: RowView, step: PlanStep): boolean {
  const { plan, layout } = view;
  if (view.at(layout.points + step.point) === CLOSED && !isSecondHand(view, step)) return true;
  const point = plan.points[step.point] as PlanPoint;
  const own = point.isolateSteps.at(-1) ?? -1;
  for (const other of plan.points) {
    if (other.source !== point.source || (other.isolateSteps.at(-1) ?? -1) <= own) continue;
    if (view.at(layout.points + other.index) !== CLOSED) return true;
  }
  return false;
}

function isOutsideWindow(view: RowView, step: PlanStep): boolean {
  const window = view.at(view.layout.window) - 1;
  return window < 0 ? step.within >= 0 : step.within !== window;
}

function isLacking(view: RowView, step: PlanStep, by: number): boolean {
  const { on, bare } = view.layout;
  return (step.wearing & ~view.at(on + by)) !== 0 || (step.bare & ~view.at(bare + by)) !== 0;
}

function isUnbriefed(view: RowView, step: PlanStep): boolean {
  for (const at of view.plan.ofKind.tell) {
    if (at > step.index) return false;
    if ((view.at(at) & (SETTLED | FRESH)) === SETTLED) return true;
  }
  return false;
}

function isWaiting(view: RowView, step: PlanStep, waited: boolean): boolean {
  const source = view.plan.sources[step.source] as PlanSource;
  if (source.waitMs === 0) return false;
  return view.at(view.layout.cut + step.source) === 0 || !waited;
}

function isEarly(view: RowView, step: PlanStep): boolean {
  if (step.after === 0) return false;
  const seated = (view.at(step.index) & SETTLED) !== 0;
  if (step.do === 'open' && seated && view.at(view.layout.ends + step.end) !== 0) return false;
  const frontier = view.frontier();
  return step.after > frontier && frontier !== step.index;
}

function isFindMissing(view: RowView, step: PlanStep): boolean {
  const { findSteps } = view.plan.points[step.point] as PlanPoint;
  return findSteps.some((find) => (view.at(find) & SETTLED) === 0);
}

const CHECKS: Readonly<Record<string, Check>> = {
  window: isOutsideWindow,
  order: isEarly,
  once: isTwice,
  'due-order': (view, step) =>
    (view.at(step.index) & SETTLED) !== 0 && view.isDueBefore(step.index),
  needs: lacksNeed,
  people: (view, step) => view.presentCount() < step.people,
  competence: () => false /* everybody within the bounds has what the checklist asks for */,
  case: isCaseOpen,
  dead: (view, step) => step.exposes.some((source) => isLive(view, source)),
  props: isPropUnsure,
  wear: isLacking,
  briefing: isUnbriefed,
  find: isFindMissing,
  'lock-on-cut': (view, step) => view.at(view.layout.points + step.point) !== OPEN,
  wait: (view, step, _, waited) => isWaiting(view, step, waited),
  'prove-cut': (view, step) =>
    !view.allPointsOpen(step.source) ||
    isUncontrolled(view, view.plan.sources[step.source] as PlanSource),
  counted: (view) => view.at(view.layout.counted) !== 1,
  'dead-for-ohms': (view, step) =>
    step.wantsDead.some((at) => isUnproven(view, view.plan.sources[at] as PlanSource)),
  'part-off': (view, step) =>
    !(step.step.do === 'contacts' && step.step.inPlace === true) && !view.isOffAbove(step.index),
  ends: isEndWrong,
  'nothing-open': (view, step) => isAnyEndOpen(view, step.stillOpen),
  'own-lock': (view, step, by) => !isUnlockable(view, step.point, by),
  'roll-call': (view) => !view.anyFresh(view.plan.ofKind.clear),
  'locks-off': (view, step) =>
    isAnyLocked(view, (view.plan.sources[step.source] as PlanSource).points),
  'restore-order': isRestoreEarly,
  'window-from-cut': (view, step) => !view.allPointsOpen(step.source),
  wet: (_, step) => step.step.do === 'window' && step.step.wet === true,
  'left-whole': (view) =>
    isAnyEndOpen(view, 0) ||
    isAnyLocked(
      view,
      view.plan.points.map((point) => point.index),
    ) ||
    isAnyCut(view),
};

export interface Gate {
  readonly id: string;
  readonly check: Check;
}

/** The gates of each step, in the engine's order. Invariant: every interlock has its check here. */
export function gatesOf(plan: Plan): readonly (readonly Gate[])[] {
  return plan.steps.map((step) =>
    INTERLOCKS.filter((lock) => !plan.without.has(lock.id) && lock.covers(step)).map(({ id }) => {
      const check = CHECKS[id];
      if (!check) throw new Error(`The interlock ${id} has no compact form.`);
      return { id, check };
    }),
  );
}

export function isBlocked(
  view: RowView,
  gates: readonly Gate[],
  step: PlanStep,
  by: number,
  waited: boolean,
): boolean {
  for (const gate of gates) if (gate.check(view, step, by, waited)) return true;
  return false;
}
