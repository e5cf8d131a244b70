/** What a record says of the machine: the locks on it with their times, and each source from live to dead. */
import type { Checklist, SourceKind } from '#lib/core/checklist/model.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState, type JobState } from '#lib/core/job/state.ts';
import { viewOf } from '#lib/core/job/view.ts';
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

export interface Standing {
  readonly view: JobView;
  readonly locks: readonly LockOn[];
}

/** @param now what has a shelf life may have run out since the last entry */
export function standingOf(
  checklist: Checklist,
  events: readonly JobEvent[],
  now: number,
): Standing | null {
  const last = events.at(-1);
  if (last === undefined) return null;
  const since = new Map<string, number>();
  let state = begun(checklist);
  for (const event of events) {
    state = evolve(state, event);
    const names = state.locks.map(({ number, point }) => `${number} ${point}`);
    for (const name of names) if (!since.has(name)) since.set(name, Date.parse(event.at));
    for (const name of since.keys()) if (!names.includes(name)) since.delete(name);
  }
  const later = Math.max(0, now - Date.parse(last.at));
  const { at, mono, boot, by } = last;
  return {
    view: viewOf(state, { at, boot, mono: mono + later }, by),
    locks: state.locks.map(({ number, owner, point, sure }) => {
      const place = state.plan.points[point];
      return {
        lock: number,
        owner,
        point: place?.label ?? '',
        source: state.plan.sources[place?.source ?? -1]?.source.label ?? '',
        since: since.get(`${number} ${point}`) ?? 0,
        sure,
      };
    }),
  };
}

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
    for (const { id, label, kind, state: now } of viewOf(state, event, event.by).sources) {
      const band = found.get(id) ?? { label, kind, spans: [] };
      found.set(id, band);
      const last = band.spans.at(-1);
      if (last !== undefined) band.spans[band.spans.length - 1] = { ...last, until: at };
      if (last?.state !== now) band.spans.push({ state: now, from: at, until: at });
    }
  }
  return [...found].map(([id, band]) => ({ id, ...band }));
}

const begun = (checklist: Checklist): JobState => initialState(planOf(checklist), '');
