/**
 * What a correction takes back. It says that the record was wrong, so the worse of the two stories
 * stands until somebody does the step again.
 */
import { ownHold, presentPerson } from './asks.ts';
import type { BookStep } from './book.ts';
import { endFact, unsureHolds } from './facts.ts';
import { DONE, dropFor, put, type Draft } from './scene.ts';

export function applyCorrection(draft: Draft, step: BookStep, by: string): void {
  const { index } = step;
  if (((draft.steps[index] ?? 0) & DONE) !== 0) takeBack(draft, step);
  if (!takeBackOwn(draft, step, by)) endFact(draft, index);
  draft.steps = put(draft.steps, index, 0);
  draft.chosen = dropFor(draft.chosen, index);
  draft.halves = dropFor(draft.halves, index);
  draft.unchecked = dropFor(draft.unchecked, index);
}

/**
 * One person's correction of their own lock, or of what they wear, leaves everyone else's as it
 * was.
 */
function takeBackOwn(draft: Draft, step: BookStep, by: string): boolean {
  if (step.do === 'lock' && ownHold(draft, step.point, by) !== undefined) {
    unsureHolds(draft, (hold) => hold.point === step.point && hold.owner === by && !hold.firm);
    return true;
  }
  if (step.do !== 'wear' || presentPerson(draft, by)?.worn.includes(step.index) !== true)
    return false;
  draft.people = draft.people.map((person) =>
    person.id === by
      ? { ...person, worn: person.worn.filter((worn) => worn !== step.index) }
      : person,
  );
  return true;
}

function takeBack(draft: Draft, step: BookStep): void {
  const { index } = step;
  switch (step.do) {
    case 'isolate':
    case 'restore': {
      // Neither isolated nor restored until somebody looks, unless the other act came after it.
      const left = step.do === 'isolate' ? 'open' : 'closed';
      if (draft.points[step.point] !== left) return;
      draft.points = put(draft.points, step.point, 'unknown');
      draft.isolatedAt = put(draft.isolatedAt, step.source, Infinity);
      return;
    }
    case 'close':
      draft.ends = put(draft.ends, step.end, true);
      return;
    case 'reseat':
      draft.connectors = draft.connectors.map((connector) =>
        connector.reseatedBy === index
          ? { id: connector.id, open: true, reseatedBy: -1 }
          : connector,
      );
      return;
    default:
      // What was opened stays open, and what was cut loose stays loose, until it is closed again.
      return;
  }
}
