/** Advice on gates that hold nothing, and on energies that nothing shows to be gone. */
import type { Checklist, Step, StepKind } from './model.ts';
import type { Problems } from './place.ts';

/**
 * Facts that no standing rule ends, and that never come out as failed: the order alone keeps them. A choice
 * is left out: a list of findings that a decision rests on is worth reading.
 */
const LASTING = new Set<StepKind>(['confirm', 'photo', 'find']);

const isLasting = (step: Step) =>
  LASTING.has(step.do) &&
  step.keeps === undefined &&
  step.optional !== true &&
  step.twice !== true &&
  step.limit === undefined;

/** A need that the order keeps anyway, and that nothing can end, holds nobody up. */
export function reviewNeeds({ steps }: Checklist, advice: Problems): void {
  const byId = new Map(steps.map((step) => [step.id, step]));
  steps.forEach((step, at) => {
    (step.needs ?? []).forEach((id, n) => {
      const needed = byId.get(id);
      if (needed === undefined || !isLasting(needed)) return;
      if (step.together !== undefined && step.together === needed.together) return;
      const says = `${step.id} needs ${id}, which comes before it anyway and which nothing ends; take it out, or give ${id} a keeps.`;
      advice.atValue(['steps', at, 'needs', n], says);
    });
  });
}

/** What is cut and never shown to be gone is believed, not proven. */
export function reviewProven({ sources, steps }: Checklist, advice: Problems): void {
  for (const [id, source] of Object.entries(sources)) {
    const exposes = steps.some((step) => step.exposes?.includes(id) === true);
    if (!exposes || Object.keys(source.points ?? {}).length === 0) continue;
    if (source.dead !== undefined || source.release !== undefined) continue;
    const says = `${id} is cut and never proven gone; give it a release that is measured, or a look that is stated.`;
    advice.atKey(['sources', id], says);
  }
}
