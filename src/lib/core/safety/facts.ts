/**
 * How facts end, and how points, locks and people change: the small moves that events are made of.
 */
import { FRESH, put, type Draft, type Hold } from './scene.ts';

/** Ends the facts of these steps, whatever their kind left behind. */
export function endFacts(draft: Draft, steps: readonly number[]): void {
  for (const step of steps) endFact(draft, step);
}

export function endFact(draft: Draft, index: number): void {
  const marks = draft.steps[index];
  const step = draft.book.steps[index];
  if (marks === undefined || step === undefined) return;
  draft.steps = put(draft.steps, index, marks & ~FRESH);
  if (step.do === 'wear') takeOff(draft, index);
  if (step.do === 'lock') unsureHolds(draft, (hold) => hold.point === step.point);
  if (step.do === 'isolate') {
    draft.holders = put(draft.holders, step.point, '');
    endProofs(draft, step.source);
  }
}

export function endProofs(draft: Draft, source: number): void {
  unmark(draft, draft.book.sources[source]?.proveSteps ?? []);
}

/** Ends facts that leave nothing behind but themselves. */
export function unmark(draft: Draft, steps: readonly number[]): void {
  for (const step of steps) {
    draft.steps = put(draft.steps, step, (draft.steps[step] ?? 0) & ~FRESH);
  }
}

function takeOff(draft: Draft, wear: number): void {
  if (!draft.people.some((person) => person.worn.includes(wear))) return;
  draft.people = draft.people.map((person) => ({
    ...person,
    worn: person.worn.filter((step) => step !== wear),
  }));
}

export function unsureHolds(draft: Draft, which: (hold: Hold) => boolean): void {
  if (!draft.holds.some((hold) => hold.sure && which(hold))) return;
  draft.holds = draft.holds.map((hold) => (which(hold) ? { ...hold, sure: false } : hold));
}

/**
 * Puts a lock or tag on; an older one of the same owner at the same point is the same one restated.
 */
export function putOn(draft: Draft, hold: Hold): void {
  const others = draft.holds.filter(
    (one) => one.point !== hold.point || one.owner !== hold.owner || one.firm !== hold.firm,
  );
  draft.holds = [...others, hold].sort(byPointAndOwner);
}

function byPointAndOwner(a: Hold, b: Hold): number {
  if (a.point !== b.point) return a.point - b.point;
  if (a.owner !== b.owner) return a.owner < b.owner ? -1 : 1;
  return Number(a.firm) - Number(b.firm);
}

/**
 * Takes locks and tags off; a point that nothing keeps any more takes the proofs of its source with
 * it.
 */
export function takeOffHolds(draft: Draft, which: (hold: Hold) => boolean): void {
  const gone = draft.holds.filter(which);
  if (gone.length === 0) return;
  draft.holds = draft.holds.filter((hold) => !which(hold));
  for (const { point } of gone) endProofsIfBare(draft, point);
}

/** Ends exclusive control of a plug; its proofs go too when no lock is on it. */
export function endHolding(draft: Draft, point: number): void {
  if ((draft.holders[point] ?? '') === '') return;
  draft.holders = put(draft.holders, point, '');
  endProofsIfBare(draft, point);
}

function endProofsIfBare(draft: Draft, point: number): void {
  const held = draft.holders[point] !== '' || draft.holds.some((hold) => hold.point === point);
  const source = draft.book.points[point]?.source;
  if (!held && source !== undefined) endProofs(draft, source);
}

/** The energy is back at these points, or may be: nothing that was known of the source holds on. */
export function energize(
  draft: Draft,
  source: number,
  points: readonly number[],
  position: 'closed' | 'unknown',
): void {
  for (const point of points) {
    // What was never cut, or is back already, is known to be on.
    const known = draft.points[point] === 'closed' ? 'closed' : position;
    draft.points = put(draft.points, point, known);
    draft.holders = put(draft.holders, point, '');
  }
  unsureHolds(draft, (hold) => points.includes(hold.point));
  draft.isolatedAt = put(draft.isolatedAt, source, Infinity);
  const known = draft.book.sources[source];
  if (known === undefined) return;
  unmark(draft, known.proveSteps);
  unmark(draft, known.caseSteps);
  unmark(draft, known.fedReleases);
}
