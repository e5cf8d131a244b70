import type { Draft, DraftPoint, DraftSource, DraftStep } from './draft.ts';
import type { StepKind } from './model.ts';

const does = (kind: StepKind, source: DraftSource, point?: DraftPoint) => (step: DraftStep) =>
  step.do === kind && step.source === source.id && (!point || step.point === point.id);

/** The first step, in the order of the file, that does this to a source or to one of its points. */
export function firstStep(
  draft: Draft,
  kind: StepKind,
  source: DraftSource,
  point?: DraftPoint,
): DraftStep | undefined {
  return draft.steps.find(does(kind, source, point));
}

export function lastStep(
  draft: Draft,
  kind: StepKind,
  source: DraftSource,
  point?: DraftPoint,
): DraftStep | undefined {
  return draft.steps.findLast(does(kind, source, point));
}
