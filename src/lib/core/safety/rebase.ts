/**
 * A job that goes over to a newer revision of its list: which book it is judged by from there on.
 *
 * Of the same shape (the same sources, points, ends, steps and gates; other words and figures) the marks
 * keep their places and every proof ends. Of another shape, the job begins anew, and may only do so
 * while nothing is cut, locked, open or off. What cannot be followed changes no book, and is a fault.
 */
import type { Checklist } from '../checklist/model.ts';
import { withEdits } from '../checklist/revision-edits.ts';
import type { EventBodies } from '../job/events.ts';
import { bookOf, type Book } from './book.ts';
import { unmark } from './facts.ts';
import { applyLapse } from './lapses.ts';
import { firstScene, stepsOf, type Draft, type Scene } from './scene.ts';

type Rebased = EventBodies['job.rebased'];

function revisedBook(book: Book, { edits }: Rebased): Book | null {
  const revised = withEdits(book.checklist, edits) as Checklist | null;
  if (revised === null) return null;
  const { id, revision } = book.checklist;
  if (revised.id !== id || !(revised.revision > revision)) return null;
  try {
    return bookOf(revised);
  } catch {
    return null; // edits of a stranger can leave anything behind
  }
}

/** What the properties ask about a book, without its words and figures. */
function shapeOf(book: Book): string {
  return JSON.stringify([
    book.steps.map((step) => ({ ...step, keepsMs: Number.isFinite(step.keepsMs), pairs: [] })),
    book.points.map((point) => ({ ...point, label: '' })),
    book.ends.map((end) => ({ ...end, label: '' })),
    book.sources.map((source) => ({
      ...source,
      label: '',
      nominal: 0,
      dead: source.dead !== null,
      release: source.release && [source.release.feeders, source.release.waitMs > 0],
    })),
    [...book.endedBy],
  ]);
}

const sameShape = (before: Book, after: Book): boolean => shapeOf(before) === shapeOf(after);

function standsAsFound(scene: Scene): boolean {
  return (
    scene.points.every((point) => point === 'closed') &&
    scene.holds.length === 0 &&
    scene.window === -1 &&
    scene.ends.every((open) => !open) &&
    scene.connectors.every(({ open }) => !open)
  );
}

/** Why the job may not go over like that; null when it may. */
export function rebaseFault(scene: Scene, body: Rebased): string | null {
  const book = revisedBook(scene.book, body);
  if (book === null) return 'it goes over to what is no newer revision of its list';
  if (sameShape(scene.book, book) || standsAsFound(scene)) return null;
  return 'it goes over to other steps or gates while something is cut, locked, open or off';
}

export function applyRebase(draft: Draft, body: Rebased): void {
  const book = revisedBook(draft.book, body);
  if (book !== null && sameShape(draft.book, book)) draft.book = book;
  else if (book !== null && standsAsFound(draft)) {
    const { seen, clock, stage, instruments, kit, doubted } = draft;
    const people = draft.people.map(({ id }) => ({ id, worn: [] }));
    const first = firstScene(book.checklist, draft.time);
    Object.assign(draft, { ...first, seen, clock, stage, people, instruments, kit, doubted });
    return;
  }
  applyLapse(draft, { what: 'resumed', steps: [] });
  unmark(draft, [...stepsOf(draft, 'case'), ...stepsOf(draft, 'release')]);
}
