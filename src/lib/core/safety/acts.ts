/** What a step that was done leaves behind, by its kind. */
import type { JobEvent, StepResult } from '../job/events.ts';
import { controlFault, workers } from './asks.ts';
import type { BookStep } from './book.ts';
import { now } from './clock.ts';
import { endProofs, energize, putOn, takeOffHolds, unmark, unsureHolds } from './facts.ts';
import { isCaseClear, isCheckedAfter, isCheckedBefore, proofFault, releaseFault } from './meter.ts';
import {
  BEGUN,
  COUNTED,
  DONE,
  FRESH,
  LEFT_OUT,
  NOT_APPLICABLE,
  PROVED,
  TOO_MANY,
  dropFor,
  put,
  recordFor,
  stepsOf,
  type Draft,
} from './scene.ts';

/** What an act replaces; the count of the sources, and that there was a proof, are kept. */
const EVERY_MARK = DONE | FRESH | LEFT_OUT | NOT_APPLICABLE | BEGUN;

type DoneEvent = Extract<JobEvent, { type: 'step.done' }>;

export function applyStep(draft: Draft, step: BookStep, event: DoneEvent): void {
  // Someone was at the source again: whoever was clear has to say so anew.
  if (step.exposes.length > 0) unmark(draft, stepsOf(draft, 'clear'));
  if (event.body.part === true) {
    applyPart(draft, step, event);
    return;
  }
  const counts = isWorth(draft, step, event);
  applyKind(draft, step, event);
  draft.halves = dropFor(draft.halves, step.index);
  mark(draft, step, counts);
  noteCount(draft, step, event.body.result);
}

/**
 * A first hand, or a disconnect that goes on: what makes things worse counts at once, the rest not
 * yet.
 */
function applyPart(draft: Draft, step: BookStep, event: DoneEvent): void {
  if (step.twice) draft.halves = recordFor(draft.halves, { step: step.index, by: event.by });
  draft.steps = put(draft.steps, step.index, (draft.steps[step.index] ?? 0) | BEGUN);
  if (step.do === 'open' || step.do === 'disconnect' || step.do === 'restore') {
    applyKind(draft, step, event);
  }
  if (step.do === 'reseat' && !step.twice) applyKind(draft, step, event);
}

/** Whether the fact is one that a property may lean on. */
function isWorth(draft: Draft, step: BookStep, event: DoneEvent): boolean {
  const { result } = event.body;
  switch (step.do) {
    case 'prove':
      return (
        proofFault(draft, step, result, event.at.slice(0, 10)) === null &&
        controlFault(draft, step.source, workers(draft, event.by)) === null
      );
    case 'release':
      return releaseFault(draft, step, result) === null;
    case 'case':
      return isCaseClear(step, result);
    case 'clear':
      return draft.people.every((person) => result.people?.includes(person.id) === true);
    default:
      return true;
  }
}

function mark(draft: Draft, step: BookStep, counts: boolean): void {
  // Connectors are reseated one by one; the step is done with the last of them.
  const done = step.do !== 'reseat' || draft.connectors.every((connector) => !connector.open);
  const before = draft.steps[step.index] ?? 0;
  let marks = before & ~EVERY_MARK;
  if (done) marks |= counts ? DONE | FRESH : DONE;
  // One connector pushed home again, while others are off, does not take its place in the order from it.
  else marks |= before & DONE;
  if (counts && step.do === 'prove') marks |= PROVED;
  draft.steps = put(draft.steps, step.index, marks);
  if (draft.time === 'told' || step.keepsMs === Infinity) return;
  const shared = step.do === 'wear' || step.do === 'lock';
  const first = shared ? draft.made.find((one) => one.step === step.index) : undefined;
  if (counts) draft.made = recordFor(draft.made, first ?? { step: step.index, at: now(draft) });
}

function noteCount(draft: Draft, step: BookStep, result: StepResult): void {
  const { sources } = result;
  if (sources === undefined || !Number.isInteger(sources) || sources < 1) return;
  const count = sources <= draft.book.sources.length ? COUNTED : TOO_MANY;
  draft.steps = draft.steps.map((marks, index) => {
    const others = marks & ~(COUNTED | TOO_MANY);
    return index === step.index ? others | count : others;
  });
}

function applyKind(draft: Draft, step: BookStep, event: DoneEvent): void {
  const { result } = event.body;
  switch (step.do) {
    case 'isolate':
      return isolate(draft, step, event.by);
    case 'restore':
      return energize(draft, step.source, [step.point], 'closed');
    case 'lock':
      return hang(draft, step, event);
    case 'unlock':
      // The firm's own lock has no owner on site: whoever takes theirs off takes it off too.
      return takeOffHolds(
        draft,
        (hold) => hold.point === step.point && (hold.owner === event.by || hold.firm),
      );
    case 'wear':
      return wear(draft, step, event.by);
    case 'open':
      draft.ends = put(draft.ends, step.end, true);
      return;
    case 'close':
      draft.ends = put(draft.ends, step.end, false);
      // A prop that came down holds nothing up: if the closing turns out wrong, it is seated anew.
      unmark(draft, draft.book.ends[step.end]?.openSteps ?? []);
      return;
    case 'disconnect':
      return disconnect(draft, step, result);
    case 'reseat':
      return reseat(draft, step, result);
    case 'choose':
      draft.chosen = recordFor(draft.chosen, { step: step.index, option: result.option ?? '' });
      return;
    case 'case':
    case 'prove':
      return noteCheck(draft, step, result);
    case 'reading':
    case 'release':
      return noteMeasurement(draft, step, result);
    default:
      return;
  }
}

function isolate(draft: Draft, step: BookStep, by: string): void {
  const point = draft.book.points[step.point];
  if (point === undefined) return;
  if (draft.points[step.point] !== 'open') {
    unsureHolds(draft, (hold) => hold.point === step.point);
  }
  // The point was touched: what was proved before is not proved any more.
  endProofs(draft, step.source);
  draft.points = put(draft.points, step.point, 'open');
  if (point.control === 'exclusive') draft.holders = put(draft.holders, step.point, by);
  // The firm's lock on a plug comes off as somebody takes the plug in hand, where no step does it.
  const hasUnlock = stepsOf(draft, 'unlock').some(
    (at) => draft.book.steps[at]?.point === step.point,
  );
  if (!hasUnlock) takeOffHolds(draft, (hold) => hold.firm && hold.point === step.point);
  const all = draft.book.sources[step.source]?.points ?? [];
  const isolated = all.every((other) => draft.points[other] === 'open');
  draft.isolatedAt = put(draft.isolatedAt, step.source, isolated ? now(draft) : Infinity);
}

function hang(draft: Draft, step: BookStep, event: DoneEvent): void {
  const { lock, tag, measure } = event.body.result;
  const isTag = lock === undefined || lock === '';
  const number = isTag ? (tag ?? '') : lock;
  // A tag alone keeps nothing shut.
  const sure = !isTag || (number !== '' && (measure ?? '') !== '');
  putOn(draft, {
    point: step.point,
    owner: event.by,
    firm: false,
    number,
    kind: isTag ? 'tag' : 'lock',
    sure,
  });
}

function wear(draft: Draft, step: BookStep, by: string): void {
  const clashes = (other: number): boolean => {
    const worn = draft.book.steps[other];
    if (worn === undefined || other === step.index) return true;
    return (
      worn.on.some((thing) => step.off.includes(thing)) ||
      worn.off.some((thing) => step.on.includes(thing))
    );
  };
  draft.people = draft.people.map((person) => {
    if (person.id !== by) return person;
    const worn = person.worn.filter((other) => !clashes(other));
    return { ...person, worn: [...worn, step.index].sort((a, b) => a - b) };
  });
}

function disconnect(draft: Draft, step: BookStep, result: StepResult): void {
  // A reseat before this one had all its connectors closed: it stays done when more are opened.
  if (draft.connectors.every((connector) => !connector.open)) {
    for (const reseatStep of stepsOf(draft, 'reseat')) {
      if (reseatStep > step.index) continue;
      draft.steps = put(draft.steps, reseatStep, (draft.steps[reseatStep] ?? 0) | DONE);
    }
  }
  const opened = (result.connectors ?? []).map((connector) => connector.id);
  const others = draft.connectors.filter((connector) => !opened.includes(connector.id));
  draft.connectors = [...others, ...opened.map((id) => ({ id, open: true, reseatedBy: -1 }))].sort(
    (a, b) => (a.id < b.id ? -1 : 1),
  );
}

function reseat(draft: Draft, step: BookStep, result: StepResult): void {
  draft.connectors = draft.connectors.map((connector) =>
    connector.id === result.connector && connector.open
      ? { id: connector.id, open: false, reseatedBy: step.index }
      : connector,
  );
}

/**
 * A meter that was checked on a known source: nothing that it measured before is in doubt any more.
 */
function noteCheck(draft: Draft, step: BookStep, result: StepResult): void {
  const instrument = result.instrument ?? '';
  const after = isCheckedAfter(result);
  const good = isCheckedBefore(result) && (after || (step.do === 'case' && !result.after));
  if (good) trust(draft, instrument);
  // A case test without a check afterwards stands after the last good one itself.
  if (!after) draft.unchecked = recordFor(draft.unchecked, { step: step.index, instrument });
}

function trust(draft: Draft, instrument: string): void {
  draft.unchecked = draft.unchecked.filter((one) => one.instrument !== instrument);
  draft.doubted = draft.doubted.filter((one) => one !== instrument);
}

function noteMeasurement(draft: Draft, step: BookStep, result: StepResult): void {
  if (result.instrument === undefined) return;
  if (step.do === 'reading' && isCheckedBefore(result)) trust(draft, result.instrument);
  draft.unchecked = recordFor(draft.unchecked, {
    step: step.index,
    instrument: result.instrument,
  });
}
