/** What each event leaves behind in the scene. */
import type { JobEvent } from '../job/events.ts';
import { endHolding, energize, putOn, takeOffHolds, unmark } from './facts.ts';
import { applyLapse } from './lapses.ts';
import { applyStep } from './acts.ts';
import { applyCorrection } from './corrections.ts';
import { DONE, FRESH, LEFT_OUT, NOT_APPLICABLE, put, stepsOf, type Draft } from './scene.ts';

export function advance(draft: Draft, event: JobEvent): void {
  draft.seen += 1;
  switch (event.type) {
    case 'job.opened':
      draft.stage = 'atWork';
      draft.instruments = event.body.instruments;
      for (const person of event.body.people) arrive(draft, person.id);
      return;
    case 'person.joined':
      arrive(draft, event.body.person);
      return applyLapse(draft, { what: 'joined', steps: [] });
    case 'person.left':
      return leave(draft, event.body.person, event.body.locks);
    case 'step.done':
      return applyStep(draft, event);
    case 'step.notDone': {
      const step = draft.book.stepAt.get(event.body.step) ?? -1;
      const marks = (draft.steps[step] ?? 0) & ~(LEFT_OUT | NOT_APPLICABLE);
      const mark = event.body.applies ? LEFT_OUT : NOT_APPLICABLE;
      draft.steps = put(draft.steps, step, marks | mark);
      return;
    }
    case 'step.corrected':
      return applyCorrection(draft, draft.book.stepAt.get(event.body.step) ?? -1, event.by);
    case 'try.refused':
      return applyFindings(draft, event.body);
    case 'fact.lapsed':
      return applyLapse(draft, event.body);
    case 'window.opened':
      return openWindow(draft, event.body);
    case 'window.closed':
      draft.window = -1;
      return unmark(draft, stepsOf(draft, 'window'));
    case 'job.parked':
      draft.stage = 'parked';
      if (event.body.lock !== undefined) leaveFirmLock(draft, event.by, event.body.lock);
      return applyLapse(draft, { what: 'parked', steps: [] });
    case 'job.resumed':
      draft.stage = 'atWork';
      return applyLapse(draft, { what: 'resumed', steps: [] });
    case 'job.handedOver': {
      const { from } = event.body;
      takeOffHolds(draft, (hold) => hold.owner === from);
      return applyLapse(draft, { what: 'handedOver', steps: [] });
    }
    case 'lock.removedFor': {
      const { lock, owner } = event.body;
      return takeOffHolds(draft, (hold) => hold.number === lock && hold.owner === owner);
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
  takeOffHolds(draft, (hold) => hold.owner === id && locks.includes(hold.number));
  draft.people = draft.people.filter((person) => person.id !== id);
  draft.holders.forEach((holder, point) => {
    if (holder === id) endHolding(draft, point);
  });
}

/** The parker's own locks come off and the firm's stay in their place. */
function leaveFirmLock(draft: Draft, parker: string, number: string): void {
  const own = draft.holds.filter((hold) => hold.owner === parker);
  takeOffHolds(draft, (hold) => hold.owner === parker);
  for (const { point } of own) {
    putOn(draft, { point, owner: null, number, kind: 'lock', sure: true });
  }
}

/** A refused try is no act, but what it showed about a source or a meter is known from then on. */
function applyFindings(
  draft: Draft,
  found: { readonly live?: string; readonly caseLive?: string; readonly doubt?: string },
): void {
  const source = (id: string) => draft.book.sources[draft.book.sourceAt.get(id) ?? -1];
  if (found.live !== undefined) unmark(draft, source(found.live)?.proveSteps ?? []);
  if (found.caseLive !== undefined) unmark(draft, source(found.caseLive)?.caseSteps ?? []);
  if (found.doubt !== undefined) {
    applyLapse(draft, { what: 'instrumentDoubt', instrument: found.doubt, steps: [] });
  }
}

function openWindow(draft: Draft, body: { readonly step: string; readonly source: string }): void {
  const source = draft.book.sourceAt.get(body.source) ?? -1;
  draft.window = source;
  const step = draft.book.stepAt.get(body.step) ?? -1;
  draft.steps = put(draft.steps, step, (draft.steps[step] ?? 0) | DONE | FRESH);
  energize(draft, source, draft.book.sources[source]?.points ?? [], 'closed');
  applyLapse(draft, { what: 'windowOpened', source: body.source, steps: [] });
}
