/** Which acts take back what others did, from the plan alone: what is asked again, and what stays as it was said. */
import type { StepKind } from '../checklist/model.ts';
import type { Plan, PlanStep } from './plan.ts';

/** Acts that take back what an earlier step stood on: what was said before them stays said. */
export const UNDOING: ReadonlySet<StepKind> = new Set<StepKind>([
  'close',
  'unlock',
  'restore',
  'window',
]);

/**
 * Whether `later`, once it was done, leaves no correction of `step`: it takes back what that step stood on, or opens
 * again what was closed before it, so that it could not be done in its place a second time.
 */
export function takesBack(plan: Plan, later: PlanStep, step: PlanStep): boolean {
  if (later.index <= step.index) return false;
  if (UNDOING.has(later.do)) return true;
  return closesOf(plan, later).some((close) => close <= step.index);
}

/** The steps that close what this one opens. */
export function closesOf(plan: Plan, step: PlanStep | undefined): readonly number[] {
  if (step?.do !== 'open') return [];
  return plan.ofKind.close.filter((at) => plan.steps[at]?.end === step.end);
}

/**
 * Which step the order asks for again after an act that undoes it: the last of its opposites that was taken, unless
 * the list itself has such an act after that one, and has come to it.
 * @param act the step that was done
 * @param same steps that do the same as it, in order
 * @param opposites steps that undo it, in order
 */
export function askedAgain(
  act: number,
  same: readonly number[],
  opposites: readonly number[],
  isDone: (step: number) => boolean,
  isTaken: (step: number) => boolean,
): number | undefined {
  const last = opposites.filter((step) => isTaken(step)).at(-1);
  if (last === undefined) return undefined;
  const followed = same.some((step) => step > last && (step === act || isDone(step)));
  return followed ? undefined : last;
}
