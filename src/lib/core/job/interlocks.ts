/**
 * The standing interlocks: what holds for every checklist and cannot be switched off by one.
 *
 * One entry, one rule. `covers` says, from the plan alone, which steps it can concern, so that a step
 * is only ever asked about its own rules. None of them knows the properties in `safety/`: they are the
 * implementation, and that is the specification.
 */
import { block, type Ask } from './block.ts';
import { blockUnlessCut, blockUnlessDead, blockUnlessProven } from './energy.ts';
import {
  checkCase,
  checkCounted,
  checkDeadForReading,
  checkProps,
  checkProve,
  checkWait,
} from './interlocks-energy.ts';
import {
  CLOSED,
  FRESH,
  hasOwnLock,
  isFresh,
  isProven,
  isSettled,
  NOT_APPLICABLE,
  OPEN,
  PART,
  SETTLED,
} from './state.ts';
import {
  checkBriefing,
  checkCompetence,
  checkPeople,
  checkWear,
  checkWorn,
} from './interlocks-people.ts';
import type { PlanPoint, PlanSource, PlanStep } from './plan.ts';
import { dueBefore, isWanted, rollCallOf } from './wanted.ts';

export interface Interlock {
  readonly id: string;
  readonly covers: (step: PlanStep) => boolean;
  readonly check: (ask: Ask) => void;
}

const always = () => true;
const kinds =
  (...names: readonly string[]) =>
  (step: PlanStep) =>
    names.includes(step.do);
const exposed = (step: PlanStep) => step.exposes.length > 0;
const energizes = kinds('restore', 'window');

function sourceOf(ask: Ask): PlanSource {
  return ask.state.plan.sources[ask.step.source] as PlanSource;
}

function pointOf(ask: Ask): PlanPoint {
  return ask.state.plan.points[ask.step.point] as PlanPoint;
}

/** Everything that is open now, by name; `except` is a mask of ends that may stay so. */
export function blockOpenEnds(ask: Pick<Ask, 'state' | 'blocks'>, except: number): void {
  const { state } = ask;
  for (const connector of state.connectors) {
    if (!connector.open) continue;
    const { id, label, terminal, step } = connector;
    const clears = state.plan.ofKind.reseat.filter((reseat) => reseat > step);
    block(ask, 'open-ends', 'openConnector', { connector: id, label, terminal }, clears);
  }
  const open = state.openEnds & ~except;
  if (open === 0) return;
  state.plan.ends.forEach((end, at) => {
    if ((open & (1 << at)) === 0) return;
    const clears = state.plan.ofKind.close.filter((step) => state.plan.steps[step]?.end === at);
    block(ask, 'open-ends', 'openEnd', { end: end.label }, clears);
  });
}

function checkOrder(ask: Ask): void {
  const { state, step } = ask;
  if (step.after <= state.frontier) return;
  /* What stands open is seated again wherever the order has come to: its own rule says whether. */
  const settled = ((state.marks[step.index] ?? 0) & SETTLED) !== 0;
  if (step.do === 'open' && settled && (state.openEnds & (1 << step.end)) !== 0) return;
  const first = state.plan.steps[state.frontier] as PlanStep;
  block(ask, 'order', 'order', { step: first.id }, [first.index]);
}

/** Whether a step may be done (again): what undid it, who has not done it yet, or what asks for it anew. */
function mayRepeat(ask: Ask): boolean {
  const { state, step, by } = ask;
  const mark = state.marks[step.index] ?? 0;
  switch (step.do) {
    case 'isolate':
      return mayIsolate(ask);
    case 'restore':
      return state.points[step.point] !== CLOSED || isSecondHand(ask);
    case 'lock':
      return !hasOwnLock(state, step.point, by);
    case 'unlock':
      return state.locks.some(
        (lock) => lock.point === step.point && (lock.owner === by || lock.parked),
      );
    case 'open':
    case 'close':
      return true; /* the end itself says, in its own rule */
    case 'wear' /* whoever wears it from an earlier step says so here */:
      return (mark & SETTLED) === 0 || (!isFresh(state, step.index, by) && isWanted(state, step));
    case 'disconnect':
      return true;
    case 'reseat':
      return state.connectors.some((connector) => connector.open && connector.step < step.index);
    case 'window':
      return !isSettled(state, step.index) || step.allows.some((at) => !isSettled(state, at));
    case 'clear':
      return (mark & SETTLED) === 0 || isWanted(state, step);
    default: {
      if ((mark & SETTLED) === 0) return true; /* what was left out may be done after all */
      if ((mark & FRESH) === 0 && isWanted(state, step)) return true;
      /* A meter in doubt is checked on a known source by a test that begins with that check. */
      const checks = step.do === 'case' || step.do === 'prove';
      return checks && state.instruments.some((instrument) => instrument.doubted);
    }
  }
}

function mayIsolate(ask: Ask): boolean {
  const { state, step } = ask;
  if (state.points[step.point] !== OPEN) return true;
  return pointOf(ask).control === 'exclusive' && (state.holders[step.point] ?? '') === '';
}

/** One hand has done it, and the step wants another: the act itself is there already. */
function isSecondHand({ state, step }: Ask): boolean {
  return step.twice && ((state.marks[step.index] ?? 0) & PART) !== 0;
}

function checkTwice(ask: Ask): void {
  const { state, step, by } = ask;
  const mark = state.marks[step.index] ?? 0;
  if ((mark & NOT_APPLICABLE) !== 0) {
    const why = state.facts[step.index]?.why ?? '';
    block(ask, 'order', 'notApplicable', { step: step.id, why });
    return;
  }
  if (!mayRepeat(ask)) {
    if (step.do === 'unlock') return; /* the owner rule says it better */
    block(ask, 'order', 'alreadyDone', { step: step.id });
  } else if (isSecondHand(ask) && state.facts[step.index]?.by === by) {
    block(ask, 'people', 'alreadyMine', { person: by }, [step.index]);
  }
}

/**
 * After a lapse the way back is walked in order: points, locks, waits, proof. A prop is seated again at
 * any time, since everything that exposes somebody waits for it.
 */
function checkDueOrder(ask: Ask): void {
  const { state, step } = ask;
  if (((state.marks[step.index] ?? 0) & SETTLED) === 0) return;
  const earlier = dueBefore(state, step);
  if (earlier) block(ask, 'order', 'order', { step: earlier.id }, [earlier.index]);
}

function checkNeeds(ask: Ask): void {
  const { state, step, by } = ask;
  for (const need of step.needs) {
    const needed = state.plan.steps[need] as PlanStep;
    const mark = state.marks[need] ?? 0;
    if ((mark & NOT_APPLICABLE) !== 0) continue;
    const supply = needed.do === 'reading' && needed.phase === 0;
    if (!isFresh(state, need, by)) {
      if (supply) block(ask, 'supply-unknown', 'supplyUnknown', { step: needed.id }, [need]);
      else if (needed.do === 'wear') checkWorn(ask, needed.on, needed.off, [need]);
      else if (needed.do === 'prove') {
        blockUnlessProven(ask, state.plan.sources[needed.source] as PlanSource);
        if (isProven(state, needed.source))
          block(ask, 'stale-proof', 'need', { step: needed.id }, [need]);
      } else block(ask, 'order', 'need', { step: needed.id }, [need]);
      continue;
    }
    const verdict = state.facts[need]?.result?.verdict;
    if (verdict === 'fail' || verdict === 'cannotTell') {
      if (supply) block(ask, 'supply-bad', 'supplyBad', { step: needed.id }, [need]);
      else block(ask, 'interlock', 'needFailed', { step: needed.id }, [need]);
    }
  }
}

function checkIsolate(ask: Ask): void {
  const { state } = ask;
  const point = pointOf(ask);
  for (const find of point.findSteps) {
    if (((state.marks[find] ?? 0) & SETTLED) === 0) {
      block(ask, 'order', 'findFirst', { step: state.plan.steps[find]?.id ?? '' }, [find]);
    }
  }
}

function checkLock(ask: Ask): void {
  const point = pointOf(ask);
  if (ask.state.points[point.index] !== OPEN) {
    block(ask, 'not-dead', 'pointClosed', { point: point.label }, point.isolateSteps);
  }
}

function checkContacts(ask: Ask): void {
  const { state, step } = ask;
  if (step.step.do === 'contacts' && step.step.inPlace) return;
  const before = state.plan.ofKind.disconnect.filter((at) => at < step.index);
  if (state.connectors.some((connector) => connector.open && connector.step < step.index)) return;
  const last = before.at(-1);
  block(
    ask,
    'order',
    'nothingOff',
    { step: last === undefined ? 'disconnect' : (state.plan.steps[last]?.id ?? '') },
    last === undefined ? [] : [last],
  );
}

function checkEnd(ask: Ask): void {
  const { state, step } = ask;
  const open = (state.openEnds & (1 << step.end)) !== 0;
  const end = state.plan.ends[step.end]?.label ?? '';
  /* A prop whose hold lapsed is seated and shaken again by the step that raised it. */
  const unsure =
    state.plan.ends[step.end]?.kind === 'prop' &&
    !isFresh(state, step.index, ask.by) &&
    isWanted(state, step);
  if (step.do === 'open' && open && !unsure && !isSecondHand(ask)) {
    block(ask, 'order', 'endOpen', { end });
  }
  if (step.do === 'close' && !open) block(ask, 'order', 'endClosed', { end });
}

function checkUnlock(ask: Ask): void {
  const { state, step, by } = ask;
  const point = pointOf(ask);
  if (state.locks.some((lock) => lock.point === step.point && (lock.owner === by || lock.parked)))
    return;
  block(ask, 'lock-owner', 'noLockHere', { person: by, point: point.label });
}

/** P3: everyone here has said clear since the last exposed act. */
function checkRollCall(ask: Ask): void {
  const { state } = ask;
  const steps = state.plan.ofKind.clear;
  if (steps.some((step) => ((state.marks[step] ?? 0) & FRESH) !== 0)) return;
  const next = rollCallOf(state.plan, ask.step.index);
  const id = next === undefined ? 'clear' : (state.plan.steps[next]?.id ?? '');
  block(ask, 'roll-call', 'clearStale', { step: id }, next === undefined ? [] : [next]);
}

export function blockLocksLeft(
  ask: Pick<Ask, 'state' | 'blocks'>,
  points: readonly number[],
): void {
  const { state } = ask;
  for (const lock of state.locks) {
    if (!points.includes(lock.point)) continue;
    const point = state.plan.points[lock.point] as PlanPoint;
    const args = { lock: lock.number, owner: lock.owner, point: point.label };
    block(ask, 'lock-owner', 'locksLeft', args, point.unlockSteps);
  }
}

function checkLocksOff(ask: Ask): void {
  blockLocksLeft(ask, sourceOf(ask).points);
}

function checkRestoreOrder(ask: Ask): void {
  const { state, step } = ask;
  const point = pointOf(ask);
  if (state.points[step.point] === CLOSED && !isSecondHand(ask)) {
    block(ask, 'order', 'restoreCut', { point: point.label });
    return;
  }
  const own = point.isolateSteps.at(-1) ?? -1;
  for (const other of state.plan.points) {
    const later = (other.isolateSteps.at(-1) ?? -1) > own && other.source === point.source;
    if (!later || state.points[other.index] === CLOSED) continue;
    block(ask, 'order', 'restoreOrder', { point: other.label }, other.restoreSteps);
  }
}

function checkWindow(ask: Ask): void {
  const { state, step } = ask;
  if (state.window === undefined) {
    if (step.within >= 0) {
      const window = state.plan.steps[step.within]?.id ?? '';
      block(ask, 'live-window', 'windowOnly', { step: step.id, window }, [step.within]);
    }
    return;
  }
  if (step.within !== state.window.step) block(ask, 'live-window', 'windowOpen');
  const open = state.clock.ran - state.window.openedRan;
  if (open > state.window.minutes * 60_000) block(ask, 'live-window', 'windowOver');
}

function checkWet(ask: Ask): void {
  if (ask.step.step.do === 'window' && ask.step.step.wet) block(ask, 'barred', 'windowWet');
}

/** P10 at the signature: nothing open, nothing locked, nothing cut. */
function checkSign(ask: Ask): void {
  const { state } = ask;
  blockOpenEnds(ask, 0);
  blockLocksLeft(
    ask,
    state.plan.points.map((point) => point.index),
  );
  for (const point of state.plan.points) {
    if (state.points[point.index] === CLOSED) continue;
    block(ask, 'open-ends', 'parkClosedPoint', { point: point.label }, point.restoreSteps);
  }
}

export const INTERLOCKS: readonly Interlock[] = [
  { id: 'window', covers: always, check: checkWindow },
  { id: 'order', covers: always, check: checkOrder },
  { id: 'once', covers: always, check: checkTwice },
  {
    id: 'due-order',
    covers: kinds('tell', 'confirm', 'find', 'case', 'isolate', 'lock', 'release', 'prove'),
    check: checkDueOrder,
  },
  { id: 'needs', covers: (step) => step.needs.length > 0, check: checkNeeds },
  { id: 'people', covers: (step) => step.people > 1, check: checkPeople },
  {
    id: 'competence',
    covers: (step) => step.hands || energizes(step) || kinds('case', 'isolate', 'prove')(step),
    check: checkCompetence,
  },
  { id: 'case', covers: (step) => step.hands, check: checkCase },
  {
    id: 'dead',
    covers: exposed,
    check: (ask) => {
      for (const at of ask.step.exposes) {
        blockUnlessDead(ask, ask.state.plan.sources[at] as PlanSource);
      }
    },
  },
  { id: 'props', covers: exposed, check: checkProps },
  { id: 'wear', covers: (step) => (step.wearing | step.bare) !== 0, check: checkWear },
  { id: 'briefing', covers: (step) => exposed(step) || energizes(step), check: checkBriefing },
  { id: 'find', covers: (step) => step.do === 'isolate', check: checkIsolate },
  { id: 'lock-on-cut', covers: kinds('lock'), check: checkLock },
  { id: 'wait', covers: kinds('release'), check: checkWait },
  { id: 'prove-cut', covers: kinds('prove'), check: checkProve },
  { id: 'counted', covers: kinds('prove'), check: checkCounted },
  { id: 'dead-for-ohms', covers: (step) => step.wantsDead.length > 0, check: checkDeadForReading },
  { id: 'part-off', covers: kinds('contacts'), check: checkContacts },
  { id: 'ends', covers: kinds('open', 'close'), check: checkEnd },
  {
    id: 'nothing-open',
    covers: kinds('clear', 'unlock', 'restore', 'window'),
    check: (ask) => blockOpenEnds(ask, ask.step.stillOpen),
  },
  { id: 'own-lock', covers: kinds('unlock'), check: checkUnlock },
  { id: 'roll-call', covers: kinds('unlock', 'restore', 'window'), check: checkRollCall },
  { id: 'locks-off', covers: kinds('restore', 'window'), check: checkLocksOff },
  { id: 'restore-order', covers: kinds('restore'), check: checkRestoreOrder },
  /* What is clipped on for a window is clipped on dead. */
  {
    id: 'window-from-cut',
    covers: kinds('window'),
    check: (ask) => blockUnlessCut(ask, sourceOf(ask)),
  },
  { id: 'wet', covers: kinds('window'), check: checkWet },
  { id: 'left-whole', covers: kinds('sign'), check: checkSign },
];
