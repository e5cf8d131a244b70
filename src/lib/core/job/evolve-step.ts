/** What a step that was done, left out or corrected changes, by its kind. */
import type { JobEvent, StepResult } from './events.ts';
import {
  closePoint,
  endClear,
  endEnergyFacts,
  replaceAt,
  restartWaits,
  setPoint,
  settleInstrument,
  type Draft,
} from './draft.ts';
import type { PlanPoint, PlanStep } from './plan.ts';
import {
  CLOSED,
  FRESH,
  isFresh,
  NOT_APPLICABLE,
  NOT_DONE,
  OPEN,
  PART,
  SETTLED,
  UNCHECKED,
  type Connector,
  type Fact,
  type JobState,
  type Lock,
} from './state.ts';
import { closesOf } from './undoing.ts';

function doIsolate(draft: Draft, step: PlanStep, event: JobEvent, ran: number): void {
  const point = draft.state.plan.points[step.point] as PlanPoint;
  if (point.control === 'exclusive') {
    draft.set({ holders: replaceAt(draft.state.holders, point.index, event.by) });
  }
  if (point.unlockSteps.length === 0) takePlugInHand(draft, point.index);
  if (draft.state.points[point.index] !== OPEN) {
    draft.askAgain(point.restoreSteps, 'cut again');
    endClear(draft, 'something was cut again');
    setPoint(draft, point.index, OPEN, ran);
  } else restartWaits(draft, point.source, ran);
}

/** The firm's lock on a plug comes off as somebody takes the plug in hand; no step of the list does it. */
function takePlugInHand(draft: Draft, point: number): void {
  const locks = draft.state.locks.filter((lock) => lock.point !== point || !lock.parked);
  if (locks.length < draft.state.locks.length) draft.set({ locks });
}

function doLock(draft: Draft, step: PlanStep, event: JobEvent, result: StepResult): void {
  const others = draft.state.locks.filter(
    (lock) => lock.point !== step.point || lock.owner !== event.by || lock.parked,
  );
  const number = result.lock !== undefined && result.lock !== '' ? result.lock : (result.tag ?? '');
  const lock: Lock = { number, owner: event.by, point: step.point, sure: true, parked: false };
  draft.set({ locks: [...others, lock] });
  draft.askAgain(draft.state.plan.points[step.point]?.unlockSteps ?? [], 'locked again');
}

function doUnlock(draft: Draft, step: PlanStep, event: JobEvent): boolean {
  const locks = draft.state.locks.filter(
    (lock) => lock.point !== step.point || (lock.owner !== event.by && !lock.parked),
  );
  draft.set({ locks });
  const point = draft.state.plan.points[step.point] as PlanPoint;
  draft.end(point.lockSteps, 'taken off by its owner');
  draft.end(draft.state.plan.sources[point.source]?.proveSteps ?? [], 'a lock came off');
  return !locks.some((lock) => lock.point === step.point);
}

function doRestore(draft: Draft, step: PlanStep, ran: number): void {
  const point = draft.state.plan.points[step.point] as PlanPoint;
  closePoint(draft, point, CLOSED, 'restored', ran);
  endEnergyFacts(draft, point.source, 'restored');
}

function doDisconnect(draft: Draft, step: PlanStep, result: StepResult): boolean {
  const fresh = (result.connectors ?? []).map((label): Connector => ({
    ...label,
    open: true,
    step: step.index,
  }));
  const kept = draft.state.connectors.filter((old) => !fresh.some((each) => each.id === old.id));
  const connectors = [...kept, ...fresh];
  draft.set({ connectors });
  const data = step.step;
  const least = data.do === 'disconnect' ? (data.expect?.least ?? 1) : 1;
  return connectors.filter((each) => each.step === step.index).length >= least;
}

function doReseat(draft: Draft, step: PlanStep, result: StepResult): boolean {
  const connectors = draft.state.connectors.map((each) =>
    each.id === result.connector ? { ...withoutLeft(each), open: false } : each,
  );
  draft.set({ connectors });
  return !connectors.some((each) => each.open && each.step < step.index);
}

function withoutLeft(connector: Connector): Connector {
  const { left, ...rest } = connector;
  void left;
  return rest;
}

function doEnd(draft: Draft, step: PlanStep): void {
  const { plan } = draft.state;
  const bit = 1 << step.end;
  const of = (kind: 'open' | 'close') =>
    plan.ofKind[kind].filter((at) => plan.steps[at]?.end === step.end);
  if (step.do === 'open') {
    draft.set({ openEnds: draft.state.openEnds | bit });
    draft.askEndAgain(step, of('open'), of('close'), 'opened again');
    endClear(draft, 'something was opened');
  } else {
    draft.set({
      openEnds: draft.state.openEnds & ~bit,
      leftOpen: draft.state.leftOpen.filter((left) => left.end !== plan.ends[step.end]?.id),
    });
    draft.end(of('open'), 'closed');
    draft.askEndAgain(step, of('close'), of('open'), 'closed');
  }
}

function doWear(draft: Draft, step: PlanStep, by: string): void {
  draft.set({
    people: draft.state.people.map((person) =>
      person.id === by
        ? {
            ...person,
            on: (person.on | step.on) & ~step.off,
            off: (person.off | step.off) & ~step.on,
          }
        : person,
    ),
  });
}

/** Whether somebody wears this, or has a lock there, already. */
function isShared(state: JobState, step: PlanStep): boolean {
  if (step.do === 'lock') return state.locks.some((lock) => lock.point === step.point && lock.sure);
  if (step.do !== 'wear') return false;
  return state.people.some((person) => person.present && isFresh(state, step.index, person.id));
}

interface Applied {
  /** False while more of the step is to come: connectors, or the locks of others. */
  readonly done: boolean;
  /** Whether it was read with a meter that was not checked afterwards. */
  readonly unchecked: boolean;
}

function applyKind(
  draft: Draft,
  step: PlanStep,
  event: JobEvent & { type: 'step.done' },
  ran: number,
): Applied {
  const { result } = event.body;
  let [done, unchecked] = [true, false];
  switch (step.do) {
    case 'wear':
      doWear(draft, step, event.by);
      break;
    case 'isolate':
      doIsolate(draft, step, event, ran);
      break;
    case 'lock':
      doLock(draft, step, event, result);
      break;
    case 'unlock':
      done = doUnlock(draft, step, event);
      break;
    case 'restore':
      doRestore(draft, step, ran);
      break;
    case 'open':
    case 'close':
      doEnd(draft, step);
      break;
    case 'disconnect':
      done = doDisconnect(draft, step, result);
      endClear(draft, 'something was opened');
      break;
    case 'reseat':
      done = doReseat(draft, step, result);
      break;
    case 'choose':
      draft.set({ choices: replaceAt(draft.state.choices, step.index, result.option) });
      break;
    case 'case':
      draft.set({ caseLive: draft.state.caseLive & ~(1 << step.source) });
      settleInstrument(draft, result.instrument);
      unchecked = result.after === undefined;
      break;
    case 'prove':
      settleInstrument(draft, result.instrument);
      break;
    case 'reading':
      /* A good check on a known source first vouches for what was read before it, as a proof's does. */
      if (result.before !== undefined) settleInstrument(draft, result.instrument);
      unchecked = result.instrument !== undefined;
      break;
    case 'release':
      unchecked = result.instrument !== undefined;
      break;
    default:
      break; /* the mark and the fact say it all */
  }
  return { done, unchecked };
}

export function stepDone(draft: Draft, event: JobEvent & { type: 'step.done' }, ran: number): void {
  const { plan } = draft.state;
  const { result, acted } = event.body;
  const at = plan.stepIndex.get(event.body.step);
  const step = at === undefined ? undefined : plan.steps[at];
  if (!step) return;
  let complete = event.body.part !== true;
  let mark = SETTLED | FRESH;
  /* What several people wear or lock is as old as the first of them. */
  const before = draft.facts[step.index];
  const shared = isShared(draft.state, step);
  if (step.exposes.length > 0) endClear(draft, 'work went on');
  const first = step.twice && event.body.part === true;
  if (!first && result.sources !== undefined) draft.set({ counted: result.sources });
  /* Of a first hand only what makes things worse counts at once. */
  if (!first || step.do === 'open' || step.do === 'restore') {
    const { done, unchecked } = applyKind(draft, step, event, ran);
    complete &&= done;
    if (unchecked) mark |= UNCHECKED;
  }
  const fact: Fact = {
    by: event.by,
    at: event.at,
    ran: shared ? (before?.ran ?? ran) : ran,
    result,
    ...(acted === undefined ? {} : { acted }),
  };
  draft.facts[step.index] = fact;
  draft.marks[step.index] = complete ? mark : ((draft.marks[step.index] ?? 0) & SETTLED) | PART;
}

export function stepNotDone(
  draft: Draft,
  event: JobEvent & { type: 'step.notDone' },
  ran: number,
): void {
  const at = draft.state.plan.stepIndex.get(event.body.step);
  if (at === undefined) return;
  draft.marks[at] = event.body.applies ? NOT_DONE : NOT_APPLICABLE;
  draft.facts[at] = { by: event.by, at: event.at, ran, why: event.body.why };
}

/** What an outcome had ruled out is asked again, down to what hung on that. */
function askDependents(draft: Draft, chosen: PlanStep): void {
  const { plan } = draft.state;
  for (const dependent of chosen.dependents) {
    if (((draft.marks[dependent] ?? 0) & NOT_APPLICABLE) === 0) continue;
    draft.marks[dependent] = 0;
    const step = plan.steps[dependent] as PlanStep;
    for (const at of closesOf(plan, step)) {
      if (((draft.marks[at] ?? 0) & NOT_DONE) !== 0) draft.marks[at] = 0;
    }
    askDependents(draft, step);
  }
}

export function stepCorrected(draft: Draft, event: JobEvent & { type: 'step.corrected' }): void {
  const { plan } = draft.state;
  const at = plan.stepIndex.get(event.body.step);
  const step = at === undefined ? undefined : plan.steps[at];
  if (!step) return;
  draft.reopen(step.index, 'corrected');
  if (step.do === 'choose') {
    draft.set({ choices: replaceAt(draft.state.choices, step.index, undefined) });
    askDependents(draft, step);
  }
  const counts = step.step.do === 'confirm' && step.step.counts === 'sources';
  if (counts) draft.set({ counted: -1 });
  if (step.do === 'close') draft.set({ openEnds: draft.state.openEnds | (1 << step.end) });
  if (step.do === 'wear') {
    draft.set({
      people: draft.state.people.map((person) => ({
        ...person,
        on: person.on & ~step.on,
        off: person.off & ~step.off,
      })),
    });
  }
  if (step.do !== 'sign') endClear(draft, 'a step was corrected');
}
