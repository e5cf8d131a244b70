/** What the pictures of a briefing tell about a list: its dangers first, then what keeps people whole. */
import type { Checklist, SourceKind } from '#lib/core/checklist/model.ts';
import { energyShapes } from '../wire/energy-shapes.ts';

export const BRIEF_ACTS = ['lock', 'test', 'discharge', 'prop', 'reseat', 'stop'] as const;
export type BriefAct = (typeof BRIEF_ACTS)[number];
export type BriefKind = SourceKind | BriefAct;

const ENERGIES = Object.keys(energyShapes) as SourceKind[];

type Part = Pick<Checklist, 'sources' | 'ends' | 'steps'>;

/** Only what this list has; locking, testing and stopping belong to every job. */
export function picturesOf({ sources, ends, steps }: Part): BriefKind[] {
  const here = new Set(Object.values(sources).map(({ kind }) => kind));
  const acts: Readonly<Record<BriefAct, boolean>> = {
    lock: true,
    test: true,
    discharge: Object.values(sources).some(({ release }) => release && 'discharge' in release),
    prop: Object.values(ends).some(({ kind }) => kind === 'prop'),
    reseat: steps.some((step) => step.do === 'reseat'),
    stop: true,
  };
  return [...ENERGIES.filter((kind) => here.has(kind)), ...BRIEF_ACTS.filter((act) => acts[act])];
}
