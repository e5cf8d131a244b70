/** What a screen shows of a job now, for one person: computed from the state, never stored. */
import { PHASES } from '../checklist/model.ts';
import { refusalsOf } from './block.ts';
import { asOf } from './decide.ts';
import type { Stamp } from './events.ts';
import {
  closeBlocks,
  evidenceHoldBlocks,
  parkShutBlocks,
  parkUsableBlocks,
  refuseBlocks,
} from './exits.ts';
import { stepBlocks } from './gates.ts';
import type { PlanPoint, PlanSource, PlanStep } from './plan.ts';
import {
  allPointsOpen,
  factStands,
  FRESH,
  isFresh,
  isSettled,
  NOT_APPLICABLE,
  NOT_DONE,
  OPEN,
  PART,
  UNKNOWN,
  type JobState,
} from './state.ts';
import { blockUnlessControlled, everIsFresh } from './energy.ts';
import { isDueAgain, isWanted } from './wanted.ts';
import type {
  ConnectorView,
  FactView,
  JobView,
  OpenEndView,
  PointView,
  SourceView,
  StepState,
  StepView,
} from './view-types.ts';

type Now = Pick<Stamp, 'at' | 'mono' | 'boot'>;

function factOf(state: JobState, step: number): FactView | undefined {
  const fact = state.facts[step];
  if (!fact) return undefined;
  const { ran, ...rest } = fact;
  void ran;
  return rest;
}

function stateOf(state: JobState, step: PlanStep, by: string): StepState {
  const mark = state.marks[step.index] ?? 0;
  if ((mark & NOT_APPLICABLE) !== 0) return 'notApplicable';
  if ((mark & NOT_DONE) !== 0) return 'notDone';
  if ((mark & PART) !== 0 && (mark & FRESH) === 0) return 'part';
  if (step.do === 'reseat') {
    const fact = state.facts[step.index] !== undefined;
    if (!isSettled(state, step.index)) return fact ? 'part' : 'todo';
    const passed = step.index < state.frontier;
    return fact || passed ? 'done' : 'todo';
  }
  if (!isSettled(state, step.index)) return 'todo';
  const early =
    state.window?.step !== step.index && step.allows.some((at) => !isSettled(state, at));
  if (early) return 'lapsed'; /* a window that closed before its readings were taken */
  if (isFresh(state, step.index, by)) return 'done';
  if (isDueAgain(state, step)) return 'lapsed';
  if (step.do === 'wear' && isWornAgain(state, step)) return 'lapsed'; /* for this person */
  return state.facts[step.index]?.ended === undefined ? 'done' : 'spent';
}

/** Whether it has to be put on (or off) again, and no step ahead asks for that anyway. */
function isWornAgain(state: JobState, step: PlanStep): boolean {
  const ahead = state.plan.ofKind.wear.some((at) => {
    const other = state.plan.steps[at] as PlanStep;
    return !isSettled(state, at) && ((other.on & step.on) | (other.off & step.off)) !== 0;
  });
  return !ahead && isWanted(state, step);
}

function stepView(state: JobState, step: PlanStep, by: string, ran: number): StepView {
  const fact = factOf(state, step.index);
  const status = stateOf(state, step, by);
  const blocks = state.status === 'atWork' ? stepBlocks(state, step, by) : [];
  const age = ran - (state.facts[step.index]?.ran ?? ran);
  return {
    id: step.id,
    index: step.index,
    do: step.do,
    phase: PHASES[step.phase] ?? 'finish',
    state: status,
    refusals: refusalsOf(state, blocks),
    ...(fact === undefined ? {} : { fact }),
    ...(step.keepsMs > 0 && status === 'done' ? { keepsMs: Math.max(0, step.keepsMs - age) } : {}),
  };
}

function pointView(state: JobState, point: PlanPoint): PointView {
  const position = state.points[point.index];
  const holder = state.holders[point.index] ?? '';
  return {
    id: point.id,
    label: point.label,
    by: point.by as PointView['by'],
    control: point.control,
    position: position === OPEN ? 'open' : position === UNKNOWN ? 'unknown' : 'closed',
    locks: state.locks
      .filter((lock) => lock.point === point.index)
      .map(({ number, owner, sure, parked }) => ({ number, owner, sure, parked, point: point.id })),
    ...(holder === '' ? {} : { holder }),
  };
}

function energyState(state: JobState, source: PlanSource): SourceView['state'] {
  if (state.window?.source === source.index) return 'window';
  if (source.points.length === 0) {
    const released = source.releaseSteps.some((step) => standsNow(state, step));
    return source.source.release !== undefined && released ? 'released' : 'stored';
  }
  if (source.points.some((point) => state.points[point] === UNKNOWN)) return 'unknown';
  if (!allPointsOpen(state, source.index)) return 'live';
  const ask = { state, blocks: [] };
  blockUnlessControlled(ask, source);
  if (ask.blocks.length > 0) return 'cut';
  return source.proveSteps.some((step) => standsNow(state, step)) ? 'dead' : 'held';
}

/** What was proved or released stays so on the screen until something ends it, or its time is over. */
function standsNow(state: JobState, step: number): boolean {
  if (!factStands(state, step)) return false;
  const keeps = state.plan.steps[step]?.keepsMs ?? 0;
  const age = state.clock.ran - (state.facts[step]?.ran ?? 0);
  return keeps === 0 || age <= keeps;
}

function sourceView(state: JobState, source: PlanSource, ran: number): SourceView {
  const proof = source.proveSteps.findLast((step) => standsNow(state, step));
  const fact = proof === undefined ? undefined : state.facts[proof];
  const cutAt = state.cutAt[source.index] ?? -1;
  const keeps = proof === undefined ? 0 : (state.plan.steps[proof]?.keepsMs ?? 0);
  const live = (state.caseLive & (1 << source.index)) !== 0;
  const { label, kind, nominal } = source.source;
  return {
    id: source.id,
    label,
    kind,
    state: energyState(state, source),
    points: source.points.map((at) => pointView(state, state.plan.points[at] as PlanPoint)),
    ...(nominal === undefined ? {} : { nominal }),
    ...(source.metalCase
      ? { caseTest: live ? 'live' : everIsFresh(state, source.caseSteps) ? 'clear' : 'unknown' }
      : {}),
    ...(fact === undefined
      ? {}
      : { provedAt: fact.at, keepsMs: Math.max(0, keeps - (ran - fact.ran)) }),
    ...(source.waitMs > 0 && cutAt >= 0
      ? {
          wait: {
            totalMs: source.waitMs,
            remainingMs: Math.max(0, cutAt + source.waitMs - ran),
          },
        }
      : {}),
  };
}

function connectorsOf(state: JobState): ConnectorView[] {
  return state.connectors.map(({ id, label, terminal, wire, pin, open, step, left }) => ({
    id,
    label,
    terminal,
    kind: 'connector',
    open,
    step: state.plan.steps[step]?.id ?? '',
    ...(wire === undefined ? {} : { wire }),
    ...(pin === undefined ? {} : { pin }),
    ...(left === undefined ? {} : { left }),
  }));
}

function openEndsOf(state: JobState): OpenEndView[] {
  const ends = state.plan.ends.flatMap((end, at): OpenEndView[] => {
    if ((state.openEnds & (1 << at)) === 0) return [];
    const left = state.leftOpen.find((each) => each.end === end.id);
    const kind = end.kind as OpenEndView['kind'];
    return [{ id: end.id, label: end.label, kind, ...(left === undefined ? {} : { left }) }];
  });
  return [...ends, ...connectorsOf(state).filter((connector) => connector.open)];
}

/**
 * The step to show: what lapsed and stands in the way of the next one first, then the next in order.
 * A lapse that nothing asks for yet does not interrupt.
 */
function currentOf(state: JobState, views: readonly StepView[]): StepView | undefined {
  const window = state.window;
  if (window) {
    const allowed = state.plan.steps[window.step]?.allows ?? [];
    return views.find((view) => allowed.includes(view.index) && view.state === 'todo');
  }
  const seen = new Set<number>();
  let at = state.frontier;
  for (;;) {
    const view = views[at];
    if (!view || seen.has(at)) return view;
    seen.add(at);
    const next = view.refusals.flatMap((refusal) => refusal.clears)[0];
    const step = next === undefined ? undefined : state.plan.stepIndex.get(next);
    /* A step that stands cannot be the way on: what it says is what holds things up. */
    const clear = step === undefined ? undefined : views[step];
    const stands = clear?.state === 'done' && clear.refusals.length > 0;
    if (step === undefined || step === at || stands) return view;
    at = step;
  }
}

/** What a view says of the machine alone: for who asks about many jobs, or after every entry of one. */
export function machineOf(
  state: JobState,
  now: Now,
  by: string,
): Pick<JobView, 'sources' | 'openEnds'> {
  return machineIn(asOf(state, { ...now, by }));
}

function machineIn(timed: JobState): Pick<JobView, 'sources' | 'openEnds'> {
  return {
    sources: timed.plan.sources.map((source) => sourceView(timed, source, timed.clock.ran)),
    openEnds: openEndsOf(timed),
  };
}

/** The job as this person sees it at this moment; `by` may be somebody who has not joined. */
export function viewOf(state: JobState, now: Now, by: string): JobView {
  const stamp = { ...now, by };
  const timed = asOf(state, stamp);
  const { ran } = timed.clock;
  const steps = timed.plan.steps.map((step) => stepView(timed, step, by, ran));
  const current = state.status === 'atWork' ? currentOf(timed, steps) : undefined;
  const ready = steps.filter((step) => state.status === 'atWork' && step.refusals.length === 0);
  const window = timed.window;
  const phase = timed.plan.steps[Math.min(timed.frontier, timed.plan.steps.length - 1)]?.phase ?? 0;
  return {
    status: state.status,
    demo: state.demo,
    phase: PHASES[phase] ?? 'arrive',
    steps,
    ready,
    ...machineIn(timed),
    connectors: connectorsOf(timed),
    people: timed.people.map((person) => ({
      id: person.id,
      present: person.present,
      worn: timed.plan.items.filter((_, at) => (person.on & (1 << at)) !== 0),
    })),
    instruments: timed.instruments.map(({ card, doubted }) => ({ ...card, doubted })),
    exits: {
      close: refusalsOf(timed, closeBlocks(timed)),
      parkUsable: refusalsOf(timed, parkUsableBlocks(timed)),
      parkShut: refusalsOf(timed, parkShutBlocks(timed, [], '')),
      refuse: refusalsOf(timed, refuseBlocks(timed, [])),
      evidenceHold: refusalsOf(timed, evidenceHoldBlocks(timed)),
    },
    ...(current === undefined ? {} : { current }),
    ...(window === undefined
      ? {}
      : {
          window: {
            source: timed.plan.sources[window.source]?.id ?? '',
            step: timed.plan.steps[window.step]?.id ?? '',
            remainingMs: Math.max(0, window.minutes * 60_000 - (ran - window.openedRan)),
            unexpected: false,
          },
        }),
  };
}
