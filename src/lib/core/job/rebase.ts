/**
 * A running job goes over to a newer revision of its list: what the revision changes, what has to hold
 * before, and what ends with it.
 *
 * Either the two revisions have the same shape (the same sources, points, ends, steps and gates, with
 * other words or figures): then the job keeps its place and every proof ends. Or they have not: then the
 * job may only stand as it did when it was opened, and begins anew.
 */
import type { Checklist, Source, Step } from '../checklist/model.ts';
import { editBytes, withEdits, type RevisionEdit } from '../checklist/revision-edits.ts';
import { block } from './block.ts';
import type { Command } from './commands.ts';
import { endEnergyFacts, endNamed, endWatch, type Draft } from './draft.ts';
import type { JobEvent } from './events.ts';
import { wanted } from './decide-park.ts';
import { planOf, type Plan } from './plan.ts';
import { CLOSED, initialState, NOT_DONE, PART, SETTLED, type JobState } from './state.ts';
import { emit, type Turn } from './turn.ts';

/** What a step says, and how long it takes: no gate reads it, and nobody attested it. */
const WORDS: ReadonlySet<string> = new Set([
  ...['say', 'why', 'cautions', 'photo', 'takes', 'limit', 'reference', 'review'],
  /* What a case test or a proof measures: those end anyhow. */
  ...['pairs', 'minutes', 'reasons'],
]);
/** What somebody attested, or a reading was judged by. */
const ATTESTED: ReadonlySet<string> = new Set(['states', 'accept', 'expect']);

/** The part of a step that a gate reads; the labels of outcomes are words that were attested. */
function shapeOfStep(step: Step): readonly unknown[] {
  const entries = Object.entries(step).filter(
    ([key, value]) => value !== undefined && !WORDS.has(key) && !ATTESTED.has(key),
  );
  return entries
    .map(([key, value]): readonly unknown[] => {
      if (key === 'options') return [key, Object.keys(value as object)];
      if (key === 'keeps') return [key, step.keeps?.for !== undefined, step.keeps?.unless];
      return [key, value];
    })
    .sort(([a], [b]) => (String(a) < String(b) ? -1 : 1));
}

function attested(step: Step): string {
  const said = Object.entries(step).filter(([key]) => ATTESTED.has(key) || key === 'options');
  return JSON.stringify(said.sort(([a], [b]) => (a < b ? -1 : 1)));
}

const shapeOfSource = (source: Source): readonly unknown[] => [
  ...[source.kind, source.case, source.from, source.dead !== undefined],
  Object.entries(source.points ?? {}).map(([id, { by, control }]) => [id, by, control]),
  Object.keys(source.release ?? {}),
  ...[source.keeps?.for !== undefined, source.keeps?.unless],
];

function shapeOf({ checklist, sources, steps }: Plan): string {
  return JSON.stringify([
    ...[checklist.competence, checklist.barred],
    Object.entries(checklist.sources).map(([id, source]) => [id, shapeOfSource(source)]),
    Object.entries(checklist.ends).map(([id, { kind }]) => [id, kind]),
    checklist.steps.map(shapeOfStep),
    /* A wait or a shelf life of nothing is none. */
    sources.map(({ waitMs }) => waitMs > 0),
    steps.map(({ keepsMs }) => keepsMs > 0),
  ]);
}

/** The plan of the revision that these edits lead to; undefined when they lead to none. */
function revisedPlan(plan: Plan, edits: readonly RevisionEdit[]): Plan | undefined {
  const revised = withEdits(plan.checklist, edits) as Checklist | null;
  if (revised === null) return undefined;
  const { id, language, revision } = plan.checklist;
  const newer = Number.isSafeInteger(revised.revision) && revised.revision > revision;
  if (revised.id !== id || revised.language !== language || !newer) return undefined;
  try {
    return planOf(revised, [...plan.without]);
  } catch {
    return undefined; /* edits of a stranger can leave anything behind */
  }
}

const sameShape = (before: Plan, after: Plan): boolean => shapeOf(before) === shapeOf(after);

/** Nothing is cut, locked, open, off, or known to be wrong: the machine stands as it was found. */
function standsAsFound(state: JobState): boolean {
  return (
    state.points.every((point) => point === CLOSED) &&
    state.locks.length === 0 &&
    state.openEnds === 0 &&
    state.connectors.every(({ open }) => !open) &&
    state.window === undefined &&
    state.caseLive === 0 &&
    state.toRead.length === 0
  );
}

/** A step that was done by words or figures that the newer revision has otherwise. */
function doneOtherwise(state: JobState, after: Plan): string | undefined {
  const done = SETTLED | NOT_DONE | PART;
  return state.plan.steps.find(
    ({ index, step }) =>
      ((state.marks[index] ?? 0) & done) !== 0 &&
      attested(step) !== attested(after.steps[index]?.step ?? step),
  )?.id;
}

/** Bytes of edits that fit in one line of the record (32 KiB) beside everything else that stands there. */
const LONGEST = 26_000;

export function rebase(turn: Turn, command: Command & { command: 'rebase' }): void {
  const { state } = turn;
  const { sha256, edits, why } = command;
  wanted(turn, why, 'whyMissing');
  if (state.window) block(turn, 'live-window', 'leaveWindow');
  const after = revisedPlan(state.plan, edits);
  if (after === undefined) return block(turn, 'bad-input', 'rebaseBad');
  const { id, revision, competence } = after.checklist;
  if (editBytes(edits) > LONGEST) block(turn, 'bad-input', 'rebaseLong', { revision });
  if (!sameShape(state.plan, after)) {
    if (!standsAsFound(state)) block(turn, 'order', 'rebaseStands', { revision });
    const known = state.people.find((person) => person.id === command.by)?.competence ?? [];
    const missing = competence.filter((each) => !known.includes(each));
    if (missing.length > 0) {
      const args = { person: command.by, missing: missing.join(', ') };
      block(turn, 'competence', 'competence', args);
    }
  } else {
    const step = doneOtherwise(state, after);
    if (step !== undefined) block(turn, 'order', 'rebaseDone', { step, revision });
  }
  emit(turn, 'job.rebased', { checklist: { id, revision, sha256 }, edits, why });
}

/** Everything that is known of energy, and everything that was said to or of people, ends. */
function endProofs(draft: Draft, ran: number): void {
  endNamed(draft, 'resumed', ran);
  endWatch(draft, REBASED);
  for (const source of draft.state.plan.sources) {
    endEnergyFacts(draft, source.index, REBASED);
    draft.end(source.releaseSteps, REBASED);
  }
}

const REBASED = 'the job went over to a newer revision';

function beginAnew(draft: Draft, after: Plan, sha256: string): void {
  const { demo, people, instruments, clock } = draft.state;
  const first = initialState(after, sha256);
  draft.marks = [...first.marks];
  draft.facts.splice(0, draft.facts.length, ...first.facts);
  draft.set({
    ...first,
    ...{ status: 'atWork', demo, instruments, clock },
    people: people.map((person) => ({ ...person, on: 0, off: 0 })),
    cutAt: after.sources.map(({ fedBy }) => (fedBy.length === 0 ? clock.ran : -1)),
  });
}

/** What cannot be followed changes no list; the proofs end all the same. */
export function rebased(
  draft: Draft,
  { body }: JobEvent & { type: 'job.rebased' },
  ran: number,
): void {
  const after = revisedPlan(draft.state.plan, body.edits);
  const { sha256 } = body.checklist;
  if (after !== undefined && sameShape(draft.state.plan, after)) {
    draft.set({ plan: after, sha256 });
  } else if (after !== undefined && standsAsFound({ ...draft.state, marks: draft.marks })) {
    return beginAnew(draft, after, sha256);
  }
  endProofs(draft, ran);
}
