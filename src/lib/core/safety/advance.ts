/** What each event leaves behind in the scene. */
import type { EventBodies, JobEvent } from '../job/events.ts';
import { endHolding, endProofs, energize, putOn, takeOffHolds, unmark } from './facts.ts';
import { applyLapse } from './lapses.ts';
import { applyStep } from './acts.ts';
import { ownHold } from './asks.ts';
import type { BookStep } from './book.ts';
import { applyCorrection } from './corrections.ts';
import { applyRebase } from './rebase.ts';
import {
  DONE,
  dropFor,
  FRESH,
  LEFT_OUT,
  NOT_APPLICABLE,
  put,
  stepsOf,
  type Draft,
  type Hold,
} from './scene.ts';

export function advance(draft: Draft, event: JobEvent, step: BookStep | undefined): void {
  draft.seen += 1;
  switch (event.type) {
    case 'job.opened':
      draft.stage = 'atWork';
      draft.instruments = event.body.instruments;
      draft.kit = JSON.stringify(
        event.body.instruments.map(({ id, category, volts, due }) => [id, category, volts, due]),
      );
      for (const person of event.body.people) arrive(draft, person.id);
      return;
    case 'person.joined':
      arrive(draft, event.body.person);
      return applyLapse(draft, { what: 'joined', steps: [] });
    case 'person.left':
      return leave(draft, event.body.person, event.body.locks);
    case 'step.done':
      return step === undefined ? undefined : applyStep(draft, step, event);
    case 'step.notDone': {
      const index = step?.index ?? -1;
      const marks = (draft.steps[index] ?? 0) & ~(LEFT_OUT | NOT_APPLICABLE);
      const mark = event.body.applies ? LEFT_OUT : NOT_APPLICABLE;
      draft.steps = put(draft.steps, index, marks | mark);
      draft.halves = dropFor(draft.halves, index); // who begins it after all is the first hand
      return;
    }
    case 'step.corrected':
      return step === undefined ? undefined : applyCorrection(draft, step, event.by);
    case 'try.refused':
      return applyFindings(draft, event.body);
    case 'fact.lapsed':
      return applyLapse(draft, event.body);
    case 'window.opened':
      return openWindow(draft, event.body.source, step?.index ?? -1);
    case 'window.closed':
      draft.window = -1;
      return unmark(draft, stepsOf(draft, 'window'));
    case 'job.parked':
      draft.stage = 'parked';
      if (event.body.lock !== undefined) leaveFirmLock(draft, event.by, event.body.lock);
      applyLapse(draft, { what: 'parked', steps: [] });
      draft.people = [];
      return;
    case 'job.resumed':
      // Parking sends everyone away; with tools down they stayed.
      draft.stage = 'atWork';
      arrive(draft, event.by);
      return applyLapse(draft, { what: 'resumed', steps: [] });
    case 'job.handedOver':
      handOver(draft, event.body);
      return applyLapse(draft, { what: 'handedOver', steps: [] });
    case 'job.rebased':
      return applyRebase(draft, event.body);
    case 'lock.removedFor': {
      const { lock, owner } = event.body;
      const gone = draft.holds.filter((hold) => hold.number === lock && hold.owner === owner);
      takeOffHolds(draft, (hold) => gone.includes(hold));
      // Why it hung there nobody knows: what stood behind it is looked into from the start.
      for (const { point } of gone) endProofs(draft, draft.book.points[point]?.source ?? -1);
      return unmark(draft, stepsOf(draft, 'clear'));
    }
    case 'tools.down':
      draft.stage = 'toolsDown';
      return;
    case 'job.refused':
    case 'evidence.held':
    case 'job.closed':
      draft.stage = 'ended';
      return;
    default:
      // Notes: nothing that any property asks about changes.
      return;
  }
}

function arrive(draft: Draft, id: string): void {
  if (draft.people.some((person) => person.id === id)) return;
  draft.people = [...draft.people, { id, worn: [] }].sort((a, b) => (a.id < b.id ? -1 : 1));
}

function leave(draft: Draft, id: string, locks: readonly string[]): void {
  takeOffHolds(draft, (hold) => isOwn(hold, id) && locks.includes(hold.number));
  unmark(draft, stepsOf(draft, 'clear'));
  depart(draft, id);
}

function depart(draft: Draft, id: string): void {
  draft.people = draft.people.filter((person) => person.id !== id);
  draft.holders.forEach((holder, point) => {
    if (holder === id) endHolding(draft, point);
  });
}

/**
 * The firm's locks stay: in place of the parker's own, and wherever a source has no lock at all.
 */
function leaveFirmLock(draft: Draft, parker: string, number: string): void {
  const own = draft.holds.filter((hold) => isOwn(hold, parker)).map((hold) => hold.point);
  const bare = draft.book.sources
    .filter(({ points }) => !draft.holds.some((hold) => points.includes(hold.point)))
    .flatMap((source) => source.points.slice(0, 1));
  takeOffHolds(draft, (hold) => isOwn(hold, parker));
  for (const point of [...own, ...bare]) {
    putOn(draft, { point, owner: parker, firm: true, number, kind: 'lock', sure: true });
  }
}

/**
 * The incoming locks are on before the outgoing ones come off, each as sure as the one it replaces.
 */
function handOver(draft: Draft, { from, to, lock }: EventBodies['job.handedOver']): void {
  const own = draft.holds.filter((hold) => isOwn(hold, from));
  for (const { point, sure } of own) {
    if (lock === undefined || ownHold(draft, point, to) !== undefined) continue;
    putOn(draft, { point, owner: to, firm: false, number: lock, kind: 'lock', sure });
  }
  takeOffHolds(draft, (hold) => isOwn(hold, from));
  depart(draft, from);
}

function isOwn(hold: Hold, owner: string): boolean {
  return hold.owner === owner && !hold.firm;
}

/** A refused try is no act, but what it showed about a source or a meter is known from then on. */
function applyFindings(
  draft: Draft,
  found: { readonly live?: string; readonly caseLive?: string; readonly doubt?: string },
): void {
  const source = (id: string) => draft.book.sources[draft.book.sourceAt.get(id) ?? -1];
  // A reading that finds a cut source live says that it came back, or was never off.
  if (found.live !== undefined) {
    applyLapse(draft, { what: 'reEnergized', source: found.live, steps: [] });
  }
  if (found.caseLive !== undefined) unmark(draft, source(found.caseLive)?.caseSteps ?? []);
  if (found.doubt !== undefined) {
    applyLapse(draft, { what: 'instrumentDoubt', instrument: found.doubt, steps: [] });
  }
}

function openWindow(draft: Draft, id: string, step: number): void {
  const source = draft.book.sourceAt.get(id) ?? -1;
  draft.window = source;
  draft.steps = put(draft.steps, step, (draft.steps[step] ?? 0) | DONE | FRESH);
  energize(draft, source, draft.book.sources[source]?.points ?? [], 'closed');
  applyLapse(draft, { what: 'windowOpened', source: id, steps: [] });
}
