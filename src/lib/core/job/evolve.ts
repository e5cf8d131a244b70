/**
 * `evolve`: one event makes the next state. No judgement here: what happened, happened.
 *
 * Invariant: it reads only the event and the state, never the clock, and accepts every event of its
 * type, so that a record written by an older program folds the same way for ever.
 */
import type { JobEvent, StepResult } from './events.ts';
import type { PlanPoint, PlanStep } from './plan.ts';
import { advance } from './running-clock.ts';
import {
  allPointsOpen,
  CLOSED,
  FRESH,
  isSettled,
  NOT_APPLICABLE,
  NOT_DONE,
  OPEN,
  PART,
  SETTLED,
  UNCHECKED,
  UNKNOWN,
  type Connector,
  type Fact,
  type JobState,
  type Lock,
} from './state.ts';
import { isWanted } from './wanted.ts';

/** The parts of the state that one event may change, copied on first write. */
class Draft {
  marks: number[];
  facts: (Fact | undefined)[];
  state: JobState;
  constructor(state: JobState) {
    this.state = state;
    this.marks = [...state.marks];
    this.facts = [...state.facts];
  }
  set(part: Partial<JobState>): void {
    this.state = { ...this.state, ...part };
  }
  /** Ends the facts of these steps; their place in the order stays taken. */
  end(steps: readonly number[], why: string): void {
    for (const step of steps) {
      const mark = this.marks[step] ?? 0;
      if ((mark & (FRESH | UNCHECKED)) === 0) continue;
      this.marks[step] = mark & ~(FRESH | UNCHECKED);
      const fact = this.facts[step];
      if (fact) this.facts[step] = { ...fact, ended: why };
    }
  }
  /** Undoes a step altogether: the order asks for it again. */
  reopen(step: number, why: string): void {
    this.end([step], why);
    this.marks[step] = 0;
  }
  /** After `act`, its inverse further on has to be done (again). */
  askAgain(inverse: readonly number[], why: string): void {
    const settled = inverse.filter((step) => ((this.marks[step] ?? 0) & SETTLED) !== 0);
    const last = settled.at(-1);
    if (last !== undefined && settled.length === inverse.length) this.reopen(last, why);
  }
}

function replaceAt<T>(list: readonly T[], at: number, value: T): T[] {
  const copy = [...list];
  copy[at] = value;
  return copy;
}

function endClear(draft: Draft, why: string): void {
  draft.end(draft.state.plan.ofKind.clear, why);
}

/** Proofs, releases and the case test of a source that came back, by whatever hand. */
function endEnergyFacts(draft: Draft, source: number, why: string): void {
  const { plan } = draft.state;
  const own = plan.sources[source];
  if (!own) return;
  draft.end([...own.proveSteps, ...own.caseSteps], why);
  for (const each of plan.sources) {
    const stored = each.source.release !== undefined && 'discharge' in each.source.release;
    const fed = stored && each.fedBy.includes(source);
    if (fed || each.index === source) draft.end(each.releaseSteps, why);
  }
}

function updateWaits(draft: Draft, ran: number): void {
  const { plan } = draft.state;
  const cutAt = plan.sources.map((source) => {
    const cut = source.fedBy.every((feed) => allPointsOpen(draft.state, feed));
    const before = draft.state.cutAt[source.index] ?? -1;
    return cut ? (before >= 0 ? before : ran) : -1;
  });
  if (cutAt.some((each, at) => each !== draft.state.cutAt[at])) draft.set({ cutAt });
}

function setPoint(draft: Draft, point: number, position: number, ran: number): void {
  draft.set({ points: replaceAt(draft.state.points, point, position) });
  updateWaits(draft, ran);
}

function closePoint(
  draft: Draft,
  point: PlanPoint,
  position: number,
  why: string,
  ran: number,
): void {
  draft.end(point.isolateSteps, why);
  draft.set({ holders: replaceAt(draft.state.holders, point.index, '') });
  setPoint(draft, point.index, position, ran);
}

function sourceUnknown(draft: Draft, source: number, why: string, ran: number): void {
  const { plan } = draft.state;
  endEnergyFacts(draft, source, why);
  endClear(draft, why);
  for (const at of plan.sources[source]?.points ?? []) {
    const point = plan.points[at] as PlanPoint;
    if (draft.state.points[at] !== CLOSED) closePoint(draft, point, UNKNOWN, why, ran);
    draft.end(point.lockSteps, why);
  }
  draft.set({
    locks: draft.state.locks.map((lock) =>
      plan.points[lock.point]?.source === source ? { ...lock, sure: false } : lock,
    ),
  });
}

function doIsolate(draft: Draft, step: PlanStep, event: JobEvent, ran: number): void {
  const point = draft.state.plan.points[step.point] as PlanPoint;
  if (point.control === 'exclusive') {
    draft.set({ holders: replaceAt(draft.state.holders, point.index, event.by) });
  }
  if (draft.state.points[point.index] !== OPEN) {
    draft.askAgain(point.restoreSteps, 'cut again');
    setPoint(draft, point.index, OPEN, ran);
  }
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
    draft.askAgain(of('close'), 'opened again');
    endClear(draft, 'something was opened');
  } else {
    draft.set({
      openEnds: draft.state.openEnds & ~bit,
      leftOpen: draft.state.leftOpen.filter((left) => left.end !== plan.ends[step.end]?.id),
    });
    draft.end(of('open'), 'closed');
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

/** A good check vouches for what the instrument read before it. */
function settleInstrument(draft: Draft, id: string | undefined): void {
  if (id === undefined) return;
  draft.marks = draft.marks.map((mark, at) =>
    draft.facts[at]?.result?.instrument === id ? mark & ~UNCHECKED : mark,
  );
  draft.set({
    instruments: draft.state.instruments.map((each) =>
      each.card.id === id ? { ...each, doubted: false } : each,
    ),
  });
}

function doubtInstrument(draft: Draft, id: string, why: string): void {
  const read = draft.marks.flatMap((mark, at) =>
    (mark & UNCHECKED) !== 0 && draft.facts[at]?.result?.instrument === id ? [at] : [],
  );
  draft.end(read, why);
  draft.set({
    instruments: draft.state.instruments.map((each) =>
      each.card.id === id ? { ...each, doubted: true } : each,
    ),
  });
}

function stepDone(draft: Draft, event: JobEvent & { type: 'step.done' }, ran: number): void {
  const { plan } = draft.state;
  const { result, acted } = event.body;
  const at = plan.stepIndex.get(event.body.step);
  const step = at === undefined ? undefined : plan.steps[at];
  if (!step) return;
  let complete = event.body.part !== true;
  let mark = SETTLED | FRESH;
  if (result.sources !== undefined) draft.set({ counted: result.sources });
  if (step.exposes.length > 0) endClear(draft, 'work went on');
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
      complete = doUnlock(draft, step, event);
      break;
    case 'restore':
      doRestore(draft, step, ran);
      break;
    case 'open':
    case 'close':
      doEnd(draft, step);
      break;
    case 'disconnect':
      complete = doDisconnect(draft, step, result);
      endClear(draft, 'something was opened');
      break;
    case 'reseat':
      complete = doReseat(draft, step, result);
      break;
    case 'choose':
      draft.set({ choices: replaceAt(draft.state.choices, step.index, result.option) });
      break;
    case 'case':
      draft.set({ caseLive: draft.state.caseLive & ~(1 << step.source) });
      settleInstrument(draft, result.instrument);
      if (result.after === undefined) mark |= UNCHECKED;
      break;
    case 'prove':
      settleInstrument(draft, result.instrument);
      break;
    case 'reading':
    case 'release':
      if (result.instrument !== undefined) mark |= UNCHECKED;
      break;
    default:
      break; /* the mark and the fact say it all */
  }
  const fact: Fact = {
    by: event.by,
    at: event.at,
    ran,
    result,
    ...(acted === undefined ? {} : { acted }),
  };
  draft.facts[step.index] = fact;
  draft.marks[step.index] = complete ? mark : ((draft.marks[step.index] ?? 0) & SETTLED) | PART;
}

function stepNotDone(draft: Draft, event: JobEvent & { type: 'step.notDone' }, ran: number): void {
  const at = draft.state.plan.stepIndex.get(event.body.step);
  if (at === undefined) return;
  draft.marks[at] = event.body.applies ? NOT_DONE : NOT_APPLICABLE;
  draft.facts[at] = { by: event.by, at: event.at, ran, why: event.body.why };
}

function stepCorrected(draft: Draft, event: JobEvent & { type: 'step.corrected' }): void {
  const { plan } = draft.state;
  const at = plan.stepIndex.get(event.body.step);
  const step = at === undefined ? undefined : plan.steps[at];
  if (!step) return;
  draft.reopen(step.index, 'corrected');
  if (step.do === 'choose') {
    draft.set({ choices: replaceAt(draft.state.choices, step.index, undefined) });
    for (const dependent of step.dependents) {
      const mark = draft.marks[dependent] ?? 0;
      if ((mark & NOT_APPLICABLE) !== 0) draft.marks[dependent] = 0;
    }
  }
  const counts = step.step.do === 'confirm' && step.step.counts === 'sources';
  if (counts) draft.set({ counted: -1 });
  if (step.do === 'close') draft.set({ openEnds: draft.state.openEnds | (1 << step.end) });
  if (step.do === 'wear') {
    draft.set({
      people: draft.state.people.map((person) =>
        person.id === event.by
          ? { ...person, on: person.on & ~step.on, off: person.off & ~step.off }
          : person,
      ),
    });
  }
  if (step.do !== 'sign') endClear(draft, 'a step was corrected');
}

/** Everything that ends when people stop and come back, or one hands the job to another. */
function endWatch(draft: Draft, why: string): void {
  const { plan } = draft.state;
  draft.end([...plan.ofKind.prove, ...plan.ofKind.tell, ...plan.ofKind.clear], why);
  plan.points.forEach((point) => {
    if ((draft.state.holders[point.index] ?? '') !== '') draft.end(point.isolateSteps, why);
  });
  draft.set({
    holders: draft.state.holders.map(() => ''),
    people: draft.state.people.map((person) => ({ ...person, on: 0, off: 0 })),
  });
}

function lapsed(draft: Draft, event: JobEvent & { type: 'fact.lapsed' }, ran: number): void {
  const { plan } = draft.state;
  const { what, source, instrument, steps, cause } = event.body;
  const indices = steps.flatMap((id) => plan.stepIndex.get(id) ?? []);
  draft.end(indices, ENDED_BY[what] ?? what);
  if (cause === 'restart') draft.set({ cutAt: draft.state.cutAt.map((at) => (at < 0 ? at : ran)) });
  if (what === 'leftSight') {
    const holders = draft.state.holders.map((holder, at) =>
      draft.state.locks.some((lock) => lock.point === at) ? holder : '',
    );
    draft.set({ holders });
  }
  if (what === 'reEnergized' && source !== undefined) {
    const at = plan.sourceIndex.get(source);
    if (at !== undefined) sourceUnknown(draft, at, ENDED_BY.reEnergized ?? '', ran);
  }
  if (what === 'instrumentDoubt' && instrument !== undefined) {
    doubtInstrument(draft, instrument, ENDED_BY.instrumentDoubt ?? '');
  }
}

const ENDED_BY: Readonly<Record<string, string>> = {
  time: 'its time ran out',
  leftSight: 'the machine was out of sight',
  panelTouched: 'the panel was touched',
  reEnergized: 'the source came back',
  moved: 'the machine was moved',
  instrumentDoubt: 'the instrument is in doubt',
  joined: 'somebody joined',
  parked: 'the job was parked',
  resumed: 'the job was resumed',
  handedOver: 'the job was handed over',
  windowOpened: 'a live window was opened',
};

function windowOpened(
  draft: Draft,
  event: JobEvent & { type: 'window.opened' },
  ran: number,
): void {
  const { plan } = draft.state;
  const source = plan.sourceIndex.get(event.body.source) ?? -1;
  const step = plan.stepIndex.get(event.body.step) ?? -1;
  for (const at of plan.sources[source]?.points ?? []) {
    closePoint(draft, plan.points[at] as PlanPoint, CLOSED, ENDED_BY.windowOpened ?? '', ran);
  }
  endEnergyFacts(draft, source, ENDED_BY.windowOpened ?? '');
  endClear(draft, ENDED_BY.windowOpened ?? '');
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

function parked(draft: Draft, event: JobEvent & { type: 'job.parked' }): void {
  const { plan } = draft.state;
  const { lock, left, as } = event.body;
  endWatch(draft, ENDED_BY.parked ?? '');
  let locks = [...draft.state.locks];
  if (lock !== undefined) {
    const own = locks.filter((each) => each.owner === event.by).map((each) => each.point);
    const bare = plan.sources.flatMap((source) => {
      const cut = source.points.find((point) => draft.state.points[point] === OPEN);
      const held = source.points.some((point) => locks.some((each) => each.point === point));
      return cut === undefined || held ? [] : [cut];
    });
    const at = [...new Set([...own, ...bare])];
    locks = [
      ...locks.filter((each) => each.owner !== event.by),
      ...at.map((point): Lock => ({
        number: lock,
        owner: event.by,
        point,
        sure: true,
        parked: true,
      })),
    ];
    draft.end(
      own.flatMap((point) => plan.points[point]?.lockSteps ?? []),
      ENDED_BY.parked ?? '',
    );
  }
  draft.set({
    status: as === 'usable' ? 'parkedUsable' : 'parkedShut',
    locks,
    leftOpen: left,
    connectors: draft.state.connectors.map((each) => {
      const open = left.find((one) => one.end === each.id);
      return open && each.open ? { ...each, left: open } : each;
    }),
    people: draft.state.people.map((person) => ({ ...person, present: false })),
  });
}

function handedOver(draft: Draft, event: JobEvent & { type: 'job.handedOver' }): void {
  const { from, to, lock } = event.body;
  endWatch(draft, ENDED_BY.handedOver ?? '');
  const points = draft.state.locks
    .filter((each) => each.owner === from && !each.parked)
    .map((each) => each.point);
  const kept = draft.state.locks.filter((each) => each.owner !== from || each.parked);
  const added = points
    .filter((point) => !kept.some((each) => each.owner === to && each.point === point))
    .map((point): Lock => ({ number: lock ?? '', owner: to, point, sure: true, parked: false }));
  draft.set({
    locks: [...kept, ...added],
    people: draft.state.people.map((person) =>
      person.id === from ? { ...person, present: false } : person,
    ),
  });
}

function joined(draft: Draft, event: JobEvent & { type: 'person.joined' }): void {
  const { plan } = draft.state;
  const { person, competence } = event.body;
  draft.end([...plan.ofKind.clear, ...plan.ofKind.tell], ENDED_BY.joined ?? '');
  const others = draft.state.people.filter((each) => each.id !== person);
  const present = draft.state.status === 'atWork' || draft.state.status === 'downTools';
  draft.set({ people: [...others, { id: person, competence, present, on: 0, off: 0 }] });
}

function left(draft: Draft, event: JobEvent & { type: 'person.left' }): void {
  const { plan } = draft.state;
  const { person } = event.body;
  endClear(draft, 'somebody left');
  const held = plan.points.filter((point) => draft.state.holders[point.index] === person);
  const why = 'who kept it in sight left';
  for (const point of held) {
    draft.end(point.isolateSteps, why);
    draft.end(plan.sources[point.source]?.proveSteps ?? [], why);
  }
  draft.set({
    holders: draft.state.holders.map((holder) => (holder === person ? '' : holder)),
    locks: draft.state.locks.filter((lock) => lock.owner !== person || lock.parked),
    people: draft.state.people.map((each) =>
      each.id === person ? { ...each, present: false, on: 0, off: 0 } : each,
    ),
  });
}

function opened(draft: Draft, event: JobEvent & { type: 'job.opened' }): void {
  draft.set({
    status: 'atWork',
    demo: event.body.demo,
    people: event.body.people.map((person) => ({
      id: person.id,
      competence: person.competence,
      present: true,
      on: 0,
      off: 0,
    })),
    instruments: event.body.instruments.map((card) => ({ card, doubted: false })),
  });
}

function tried(draft: Draft, event: JobEvent & { type: 'try.refused' }, ran: number): void {
  const { plan } = draft.state;
  const { live, caseLive, doubt } = event.body;
  if (doubt !== undefined) doubtInstrument(draft, doubt, ENDED_BY.instrumentDoubt ?? '');
  if (live !== undefined) {
    const at = plan.sourceIndex.get(live);
    if (at !== undefined) sourceUnknown(draft, at, 'a reading showed it live', ran);
  }
  if (caseLive !== undefined) {
    const at = plan.sourceIndex.get(caseLive) ?? -1;
    draft.end(plan.sources[at]?.caseSteps ?? [], 'the case read live');
    if (at >= 0) draft.set({ caseLive: draft.state.caseLive | (1 << at) });
  }
}

function resumed(draft: Draft, event: JobEvent): void {
  const fromParked = draft.state.status !== 'downTools';
  endWatch(draft, ENDED_BY.resumed ?? '');
  draft.set({
    status: 'atWork',
    people: fromParked
      ? draft.state.people.map((person) => ({ ...person, present: person.id === event.by }))
      : draft.state.people,
  });
}

function lockRemoved(draft: Draft, event: JobEvent & { type: 'lock.removedFor' }): void {
  const { plan } = draft.state;
  const { lock, owner } = event.body;
  const removed = draft.state.locks.filter((each) => each.number === lock && each.owner === owner);
  const sources = new Set(removed.map((each) => plan.points[each.point]?.source ?? -1));
  for (const source of sources) {
    draft.end(plan.sources[source]?.proveSteps ?? [], 'a lock was taken off for its owner');
  }
  endClear(draft, 'a lock was taken off for its owner');
  draft.set({
    locks: draft.state.locks.filter((each) => !removed.includes(each)),
    toRead: [...new Set([...draft.state.toRead, owner])],
  });
}

function apply(draft: Draft, event: JobEvent, ran: number): void {
  switch (event.type) {
    case 'job.opened':
      return opened(draft, event);
    case 'person.joined':
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
      return windowOpened(draft, event, ran);
    case 'window.closed':
      return windowClosed(draft);
    case 'job.parked':
      return parked(draft, event);
    case 'job.resumed':
      return resumed(draft, event);
    case 'job.handedOver':
      return handedOver(draft, event);
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

/** Facts that nothing ahead asks for any more have served. */
function retire(state: JobState): JobState {
  const { plan } = state;
  let marks: number[] | undefined;
  for (const step of plan.steps) {
    const mark = state.marks[step.index] ?? 0;
    if ((mark & FRESH) === 0 || isWanted(state, step)) continue;
    marks ??= [...state.marks];
    marks[step.index] = mark & ~FRESH;
  }
  let useful = 0;
  for (const step of plan.ofKind.wear) {
    const wear = plan.steps[step] as PlanStep;
    if (isWanted(state, wear)) useful |= wear.on | wear.off;
  }
  const worn = state.people.some((person) => ((person.on | person.off) & ~useful) !== 0);
  if (!marks && !worn) return state;
  return {
    ...state,
    marks: marks ?? state.marks,
    people: worn
      ? state.people.map((person) => ({
          ...person,
          on: person.on & useful,
          off: person.off & useful,
        }))
      : state.people,
  };
}

/** The state after one event. */
export function evolve(state: JobState, event: JobEvent): JobState {
  const clock = advance(state.clock, event);
  const draft = new Draft({ ...state, clock });
  apply(draft, event, clock.ran);
  const next = { ...draft.state, marks: draft.marks, facts: draft.facts };
  return retire({ ...next, frontier: frontierOf(next) });
}
