/**
 * A plan with one of its gates taken out, to see what breaks then. The engine has no switch for it: it is
 * handed a plan that lacks the gate, and the properties go on judging by the whole checklist.
 */
import { INTERLOCKS } from '../job/interlocks.ts';
import type { Plan, PlanStep } from '../job/plan.ts';
import { ownGatesOf } from './binding.ts';

/** Standing interlocks that cover a step of the plan, by id: all that can be taken out of it. */
export function coveringInterlocks(plan: Plan): readonly string[] {
  return INTERLOCKS.filter(({ covers }) => plan.steps.some(covers)).map(({ id }) => id);
}

/** Every gate of the plan by name: the interlocks that cover a step of it, then what its steps ask for. */
export function gatesOf(plan: Plan): readonly string[] {
  return [...coveringInterlocks(plan), ...ownGatesOf(plan)];
}

function withoutOwn(plan: Plan, step: PlanStep, name: string): PlanStep {
  if (name === `${step.id} wants people`) return { ...step, people: 1 };
  if (name === `${step.id} wants worn or bare`) return { ...step, wearing: 0, bare: 0 };
  const needs = step.needs.filter(
    (need) => name !== `${step.id} needs ${plan.steps[need]?.id ?? ''}`,
  );
  return needs.length === step.needs.length ? step : { ...step, needs };
}

/**
 * The plan without the gate.
 * @param name an interlock's id, or a gate as `ownGatesOf` names it
 * @returns undefined when the plan has no gate of that name
 */
export function planWithout(plan: Plan, name: string): Plan | undefined {
  if (INTERLOCKS.some(({ id }) => id === name)) {
    return { ...plan, without: new Set([...plan.without, name]) };
  }
  const steps = plan.steps.map((step) => withoutOwn(plan, step, name));
  return steps.every((step, at) => step === plan.steps[at]) ? undefined : { ...plan, steps };
}
