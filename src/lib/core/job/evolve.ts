/**
 * `evolve`: one event makes the next state. No judgement here: what happened, happened.
 *
 * Invariant: it reads only the event and the state, never the clock, and accepts every event of its
 * type, so that a record written by an older program folds the same way for ever.
 */
import type { JobEvent } from './events.ts';
import {
  closePoint,
  doubtInstrument,
  Draft,
  ENDED_BY,
  endClear,
  endEnergyFacts,
  endNamed,
  endStanding,
  endWatch,
  sourceUnknown,
} from './draft.ts';
import { handedOver, joined, left, lockRemoved, opened, parked, resumed } from './evolve-people.ts';
import { stepCorrected, stepDone, stepNotDone } from './evolve-step.ts';
import { rebased } from './rebase.ts';
import type { PlanPoint, PlanStep } from './plan.ts';
import { advance } from './running-clock.ts';
import { CLOSED, FRESH, isSettled, PART, SETTLED, type JobState } from './state.ts';
import { isWanted } from './wanted.ts';

function lapsed(draft: Draft, event: JobEvent & { type: 'fact.lapsed' }, ran: number): void {
  const { plan } = draft.state;
  const { what, source, instrument, steps, cause } = event.body;
  const indices = steps.flatMap((id) => plan.stepIndex.get(id) ?? []);
  draft.end(indices, ENDED_BY[what]);
  for (const at of indices) endStanding(draft, plan.steps[at] as PlanStep, ENDED_BY[what], ran);
  if (cause === 'restart') draft.set({ cutAt: draft.state.cutAt.map((at) => (at < 0 ? at : ran)) });
  if (what === 'leftSight') {
    const holders = draft.state.holders.map((holder, at) =>
      draft.state.locks.some((lock) => lock.point === at) ? holder : '',
    );
    draft.set({ holders });
  }
  if (what === 'reEnergized' && source !== undefined) {
    const at = plan.sourceIndex.get(source);
    if (at !== undefined) sourceUnknown(draft, at, ENDED_BY.reEnergized, ran);
  }
  if (what === 'instrumentDoubt' && instrument !== undefined) {
    doubtInstrument(draft, instrument, ENDED_BY.instrumentDoubt);
  }
}

function windowOpened(
  draft: Draft,
  event: JobEvent & { type: 'window.opened' },
  ran: number,
): void {
  const { plan } = draft.state;
  const source = plan.sourceIndex.get(event.body.source) ?? -1;
  const step = plan.stepIndex.get(event.body.step) ?? -1;
  for (const at of plan.sources[source]?.points ?? []) {
    closePoint(draft, plan.points[at] as PlanPoint, CLOSED, ENDED_BY.windowOpened, ran);
  }
  endEnergyFacts(draft, source, ENDED_BY.windowOpened);
  endClear(draft, ENDED_BY.windowOpened);
  draft.marks[step] = SETTLED | PART;
  draft.facts[step] = { by: event.by, at: event.at, ran, why: event.body.reason };
  draft.set({ window: { step, source, openedRan: ran, minutes: event.body.minutes } });
}

function windowClosed(draft: Draft): void {
  const window = draft.state.window;
  if (!window) return;
  draft.marks[window.step] = SETTLED | FRESH;
  draft.set({ window: undefined });
}

function tried(draft: Draft, event: JobEvent & { type: 'try.refused' }, ran: number): void {
  const { plan } = draft.state;
  const { live, caseLive, doubt } = event.body;
  if (doubt !== undefined) {
    endNamed(draft, 'instrumentDoubt', ran);
    doubtInstrument(draft, doubt, ENDED_BY.instrumentDoubt);
  }
  if (live !== undefined) {
    const at = plan.sourceIndex.get(live);
    endNamed(draft, 'reEnergized', ran);
    if (at !== undefined) sourceUnknown(draft, at, 'a reading showed it live', ran);
  }
  if (caseLive !== undefined) {
    const at = plan.sourceIndex.get(caseLive) ?? -1;
    draft.end(plan.sources[at]?.caseSteps ?? [], 'the case read live');
    if (at >= 0) draft.set({ caseLive: draft.state.caseLive | (1 << at) });
  }
}

function apply(draft: Draft, event: JobEvent, ran: number): void {
  switch (event.type) {
    case 'job.opened':
      return opened(draft, event);
    case 'person.joined':
      endNamed(draft, 'joined', ran);
      return joined(draft, event);
    case 'person.left':
      return left(draft, event);
    case 'step.done':
      return stepDone(draft, event, ran);
    case 'step.notDone':
      return stepNotDone(draft, event, ran);
    case 'step.corrected':
      return stepCorrected(draft, event);
    case 'try.refused':
      return tried(draft, event, ran);
    case 'fact.lapsed':
      return lapsed(draft, event, ran);
    case 'window.opened':
      endNamed(draft, 'windowOpened', ran);
      return windowOpened(draft, event, ran);
    case 'window.closed':
      return windowClosed(draft);
    case 'job.parked':
      endNamed(draft, 'parked', ran);
      return parked(draft, event);
    case 'job.resumed':
      endNamed(draft, 'resumed', ran);
      return resumed(draft, event);
    case 'job.handedOver':
      endNamed(draft, 'handedOver', ran);
      return handedOver(draft, event);
    case 'job.rebased':
      return rebased(draft, event, ran);
    case 'lock.removedFor':
      return lockRemoved(draft, event);
    case 'tools.down':
      endWatch(draft, 'tools went down');
      return draft.set({ status: 'downTools' });
    case 'job.refused':
      return draft.set({ status: 'refused', leftOpen: event.body.left });
    case 'evidence.held':
      return draft.set({ status: 'evidenceHold' });
    case 'job.closed':
      return draft.set({ status: 'handedBack' });
    default:
      return; /* notes, cautions, keys, amendments: the record keeps them, no gate asks them */
  }
}

function frontierOf(state: JobState): number {
  const { steps } = state.plan;
  for (let at = 0; at < steps.length; at++) if (!isSettled(state, at)) return at;
  return steps.length;
}

/** Facts that nothing ahead asks for any more have served. What each asks is asked before any is struck out. */
function retire(draft: Draft): void {
  const { state, marks } = draft;
  const { plan } = state;
  let served: number[] | undefined;
  for (const step of plan.steps) {
    if (((marks[step.index] ?? 0) & FRESH) === 0 || isWanted(state, step)) continue;
    served ??= [];
    served.push(step.index);
  }
  let useful = 0;
  for (const step of plan.ofKind.wear) {
    const wear = plan.steps[step] as PlanStep;
    if (isWanted(state, wear)) useful |= wear.on | wear.off;
  }
  for (const step of served ?? []) marks[step] = (marks[step] ?? 0) & ~FRESH;
  const worn = state.people.some((person) => ((person.on | person.off) & ~useful) !== 0);
  if (!worn) return;
  state.people = state.people.map((person) => ({
    ...person,
    on: person.on & useful,
    off: person.off & useful,
  }));
}

/**
 * The state after all of these events, one after the other. What nobody sees in between is not copied: a
 * whole record is folded in one draft.
 */
export function fold(state: JobState, events: Iterable<JobEvent>): JobState {
  let draft: Draft | undefined;
  for (const event of events) {
    const clock = advance((draft?.state ?? state).clock, event);
    if (draft) draft.state.clock = clock;
    else draft = new Draft(state, clock);
    apply(draft, event, clock.ran);
    const next = draft.state;
    next.marks = draft.marks;
    next.facts = draft.facts;
    next.frontier = frontierOf(next);
    retire(draft);
  }
  return draft?.state ?? state;
}

/** The state after one event. */
export function evolve(state: JobState, event: JobEvent): JobState {
  return fold(state, [event]);
}
