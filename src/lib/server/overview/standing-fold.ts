/** What a record says of the machine: the locks on it with their times, and each source from live to dead. */
import type { Checklist, SourceKind } from '#lib/core/checklist/model.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { planOf, type Plan } from '#lib/core/job/plan.ts';
import { initialState, type JobState } from '#lib/core/job/state.ts';
import { machineOf, viewOf } from '#lib/core/job/view.ts';
import type { JobView, SourceBand, SourceSpan } from '#lib/core/job/view-types.ts';

export interface LockOn {
  readonly lock: string;
  /** Id of a person. */
  readonly owner: string;
  readonly point: string;
  readonly source: string;
  /** Milliseconds since 1970, of the entry that put it on. */
  readonly since: number;
  /** False after its source came back: its owner has to look at it again. */
  readonly sure: boolean;
}

/** A record folded to its end; what has a shelf life is told only when it is asked at a time. */
export interface Fold {
  readonly state: JobState;
  readonly locks: readonly LockOn[];
  readonly last: JobEvent;
}

export function foldOf(checklist: Checklist, events: readonly JobEvent[]): Fold | null {
  const last = events.at(-1);
  if (last === undefined) return null;
  const since = new Map<string, number>();
  let state = begun(checklist);
  for (const event of events) {
    const { locks } = state;
    state = evolve(state, event);
    if (state.locks === locks) continue;
    const names = state.locks.map(({ number, point }) => `${number} ${point}`);
    for (const name of names) if (!since.has(name)) since.set(name, Date.parse(event.at));
    for (const name of since.keys()) if (!names.includes(name)) since.delete(name);
  }
  const locks = state.locks.map(({ number, owner, point, sure }) => {
    const place = state.plan.points[point];
    return {
      lock: number,
      owner,
      point: place?.label ?? '',
      source: state.plan.sources[place?.source ?? -1]?.source.label ?? '',
      since: since.get(`${number} ${point}`) ?? 0,
      sure,
    };
  });
  return { state, locks, last };
}

/** The clocks of the last entry, run on to `now`: what has a shelf life may have run out since. */
function runOn({ last }: Fold, now: number) {
  const { at, boot, mono } = last;
  return { at, boot, mono: mono + Math.max(0, now - Date.parse(at)) };
}

export const machineNow = (fold: Fold, now: number): Pick<JobView, 'sources' | 'openEnds'> =>
  machineOf(fold.state, runOn(fold, now), fold.last.by);

export const viewNow = (fold: Fold, now: number): JobView =>
  viewOf(fold.state, runOn(fold, now), fold.last.by);

/**
 * Each source over the time of the record, as the engine sees it; a state that no entry changes makes one span.
 * The front page of a bag has bands of its own (`core/bag/front`), because a bag must not lean on the engine.
 */
export function bandsOf(checklist: Checklist, events: readonly JobEvent[]): SourceBand[] {
  const found = new Map<string, { label: string; kind: SourceKind; spans: SourceSpan[] }>();
  let state = begun(checklist);
  for (const event of events) {
    state = evolve(state, event);
    const at = Date.parse(event.at);
    for (const { id, label, kind, state: now } of machineOf(state, event, event.by).sources) {
      const band = found.get(id) ?? { label, kind, spans: [] };
      found.set(id, band);
      const last = band.spans.at(-1);
      if (last !== undefined) band.spans[band.spans.length - 1] = { ...last, until: at };
      if (last?.state !== now) band.spans.push({ state: now, from: at, until: at });
    }
  }
  return [...found].map(([id, band]) => ({ id, ...band }));
}

/** A list is compiled once for as long as it is kept in memory. */
const plans = new WeakMap<Checklist, Plan>();

function begun(checklist: Checklist): JobState {
  const plan = plans.get(checklist) ?? planOf(checklist);
  plans.set(checklist, plan);
  return initialState(plan, '');
}
