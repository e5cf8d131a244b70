/** The labels of a job in the reader's language: the engine knows the checklist that the job pinned. */
import type { Checklist } from '#lib/core/checklist/model.ts';
import type { JobView } from '#lib/core/job/view-types.ts';

/** Every label of the pinned checklist with its words in the other. */
export function labelsOf(pinned: Checklist, other: Checklist): ReadonlyMap<string, string> {
  const labels = new Map<string, string>();
  for (const [id, source] of Object.entries(pinned.sources)) {
    const words = other.sources[id];
    if (words === undefined) continue;
    labels.set(source.label, words.label);
    for (const [point, { label }] of Object.entries(source.points ?? {}))
      labels.set(label, words.points?.[point]?.label ?? label);
  }
  for (const [id, { label }] of Object.entries(pinned.ends))
    labels.set(label, other.ends[id]?.label ?? label);
  return labels;
}

export function spoken(view: JobView, inWords: (label: string) => string): JobView {
  return {
    ...view,
    sources: view.sources.map((source) => ({
      ...source,
      label: inWords(source.label),
      points: source.points.map((point) => ({ ...point, label: inWords(point.label) })),
    })),
    openEnds: view.openEnds.map((end) => ({ ...end, label: inWords(end.label) })),
  };
}
