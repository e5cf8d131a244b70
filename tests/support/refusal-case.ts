/** One way in which the engine says no, and the words that many of the cases have in common. */
import type { Step } from '#lib/core/checklist/model.ts';
import { planOf } from '#lib/core/job/plan.ts';
import type { RefusalCode } from '#lib/core/job/refusal.ts';
import {
  accepted,
  and,
  at,
  dryer,
  does,
  goodResult,
  lamp,
  MARA,
  ODE,
  when,
  type Job,
  type Said,
  both,
} from './job-builder.ts';

export interface RefusalCase {
  /** The interlock that says it, when it is one. */
  readonly interlock?: string;
  readonly name: string;
  readonly job: () => Job;
  readonly said: (job: Job) => Said;
  readonly code: RefusalCode;
  readonly says: RegExp;
  /** Steps that clear it, as the refusal names them. */
  readonly clears?: readonly string[];
  /** After this the same order is accepted. */
  readonly opens?: (job: Job) => Job;
}

export { both };
export const lapse = (what: 'leftSight' | 'moved' | 'panelTouched' | 'reEnergized'): Said => ({
  command: 'lapse',
  what,
  ...(what === 'reEnergized' ? { source: 'mains' } : {}),
});
export const joins = (person = ODE): Said => ({ command: 'join', person });
export const good =
  (step: string, by = MARA.id) =>
  (job: Job): Said =>
    does(step, goodResult(job, step, by), by);
export const does_ =
  (step: string, result = {}, by?: string) =>
  () =>
    does(step, result, by);
export const check = { expected: '120', shown: '119.6', unit: 'V' };
export const pair = (value: string, unit = 'V') => ({ value, unit });

export const window: Said = {
  command: 'window',
  source: 'motor',
  reason: 'The voltage has to be seen under command',
  readBack: 'motor circuit, disconnect 3, read back by Ode',
};
export const windowOpen = () => and(at(dryer(), 'live', both), window);
export const park: Said = {
  command: 'park',
  as: 'usable',
  told: 'The studio keeper',
  owner: 'dispatch',
  until: '2026-12-02',
  left: [],
};
export const shut: Said = { ...park, as: 'shut' } as Said;

/** The way of a plan on which a step does not ask for water to be away. */
export const wetDryer = planOf({
  ...dryer().checklist,
  id: 'wet-dryer',
  steps: dryer().checklist.steps.map((step) =>
    step.do === 'window' ? { ...step, wet: true } : step,
  ),
});

/** The lamp with nobody exposed once its wires are off: a reading wants the proof for itself. */
export const lampOutside = planOf({
  ...lamp().checklist,
  id: 'lamp-outside',
  steps: lamp().checklist.steps.map((step) => {
    if (step.id !== 'switch' && step.id !== 'rewire') return step;
    const { exposes, ...plain } = step;
    void exposes;
    return plain as Step;
  }),
});

/** The order after which a case opens, asked for again. */
export function againAfter(each: RefusalCase, job: Job): Job {
  const open = (each.opens ?? ((same) => same))(job);
  return accepted(when(open, each.said(open)));
}
