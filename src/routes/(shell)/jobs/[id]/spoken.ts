/** The labels of a job in the reader's language: the engine knows the checklist that the job pinned. */
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
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
  for (const step of pinned.steps) {
    const words = other.steps.find(({ id }) => id === step.id);
    const theirs = words === undefined ? [] : wornAt(words);
    for (const [at, item] of wornAt(step).entries()) labels.set(item, theirs[at] ?? item);
  }
  return labels;
}

/** What a step puts on, takes off or asks for, in one order in every language. */
function wornAt(step: Step): readonly string[] {
  const put = step.do === 'wear' ? [...(step.on ?? []), ...(step.off ?? [])] : [];
  return [...put, ...(step.wearing ?? []), ...(step.bare ?? [])];
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
