/**
 * The lapse table: what each lapse ends, written from the table of the checklist format. Where the
 * table leaves room the stricter reading stands: a lapse that names no source, instrument or step
 * means all of them, and a step that a lapse lists has ended whatever its row says.
 */
import type { Lapse } from '../checklist/model.ts';
import type { EventBodies } from '../job/events.ts';
import { endFact, endFacts, endHolding, energize, unmark } from './facts.ts';
import { dropFor, stepsOf, type Draft } from './scene.ts';

/** From this absence on, briefings and touch temperatures are asked for again. */
const longAbsenceMinutes = 30;

export type Lapsed = Pick<
  EventBodies['fact.lapsed'],
  'what' | 'source' | 'instrument' | 'minutes' | 'steps'
>;

export function applyLapse(draft: Draft, lapsed: Lapsed): void {
  rows[lapsed.what](draft, lapsed);
  endFacts(draft, draft.book.endedBy.get(lapsed.what) ?? []);
  for (const id of lapsed.steps) endFact(draft, draft.book.stepAt.get(id) ?? -1);
}

const rows: Readonly<Record<Lapse, (draft: Draft, lapsed: Lapsed) => void>> = {
  // Which facts are too old is in `steps`, and in the clock where time is kept.
  time: () => undefined,

  leftSight(draft, { minutes }) {
    endElectricalProofs(draft);
    draft.book.points.forEach((point, index) => {
      const locked = draft.holds.some((hold) => hold.point === index && hold.kind === 'lock');
      if (point.control === 'exclusive' && !locked) endHolding(draft, index);
    });
    if (minutes === undefined || minutes < longAbsenceMinutes) return;
    unmark(draft, stepsOf(draft, 'tell'));
    unmark(draft, draft.book.coolReleases);
  },

  panelTouched: endElectricalProofs,

  reEnergized(draft, { source }) {
    for (const index of namedSources(draft, source)) {
      energize(draft, index, draft.book.sources[index]?.points ?? [], 'unknown');
    }
  },

  moved(draft) {
    for (const end of draft.book.ends) if (end.kind === 'prop') unmark(draft, end.openSteps);
  },

  instrumentDoubt(draft, { instrument }) {
    const all = draft.instruments.map((one) => one.id);
    const doubted = instrument === undefined ? all : [instrument];
    draft.doubted = [...new Set([...draft.doubted, ...doubted])].sort();
    for (const one of draft.unchecked) {
      if (instrument !== undefined && one.instrument !== instrument) continue;
      endFact(draft, one.step);
      draft.unchecked = dropFor(draft.unchecked, one.step);
    }
  },

  joined(draft) {
    unmark(draft, stepsOf(draft, 'clear'));
    unmark(draft, stepsOf(draft, 'tell'));
  },

  parked: endSuspended,
  resumed: endSuspended,
  handedOver: endSuspended,

  windowOpened(draft, { source }) {
    for (const index of namedSources(draft, source)) {
      unmark(draft, draft.book.sources[index]?.proveSteps ?? []);
    }
  },
};

function endElectricalProofs(draft: Draft): void {
  for (const source of draft.book.sources) if (source.electrical) unmark(draft, source.proveSteps);
}

function endSuspended(draft: Draft): void {
  unmark(draft, stepsOf(draft, 'prove'));
  unmark(draft, stepsOf(draft, 'tell'));
  unmark(draft, stepsOf(draft, 'clear'));
  endFacts(draft, stepsOf(draft, 'wear'));
  draft.book.points.forEach((_, index) => endHolding(draft, index));
}

/**
 * The source of that name; without a name, or with one that nobody knows, every one it could be.
 */
function namedSources(draft: Draft, id: string | undefined): number[] {
  const named = id === undefined ? undefined : draft.book.sourceAt.get(id);
  if (named !== undefined) return [named];
  return draft.book.sources.flatMap((source, index) => (source.electrical ? [index] : []));
}
