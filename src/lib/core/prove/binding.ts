/**
 * Which gates bind: a gate that in some reachable state is all that keeps a step closed to somebody who is
 * here is needed there; one that never is, is idle. A checklist's own gate that is idle can go; a standing interlock that
 * is idle under one checklist stands by for the others.
 *
 * A gate is a standing interlock, or what a step asks for by itself: each fact that it `needs`, what it
 * wants worn or bare, how many people it wants.
 */
import { INTERLOCKS } from '../job/interlocks.ts';
import type { Plan, PlanStep } from '../job/plan.ts';
import type { JobState } from '../job/state.ts';
import { isFresh, NOT_APPLICABLE } from '../job/state.ts';

/** Interlocks that ask what the checklist itself put at a step. */
const AUTHORED: ReadonlySet<string> = new Set(['needs', 'wear', 'people']);

/** What the checklist asks for at its steps, by name: `unplug needs gloves`. */
export function ownGatesOf(plan: Plan): readonly string[] {
  return plan.steps.flatMap((step) => ownGates(plan, step));
}

/** The standing interlocks that cover a step of the plan, by id. */
export function standingGatesOf(plan: Plan): readonly string[] {
  return INTERLOCKS.filter(
    ({ id, covers }) => !plan.without.has(id) && !AUTHORED.has(id) && plan.steps.some(covers),
  ).map(({ id }) => id);
}

function ownGates(plan: Plan, step: PlanStep): string[] {
  return [
    ...step.needs.map((need) => needName(plan, step, need)),
    ...((step.wearing | step.bare) === 0 ? [] : [`${step.id} wants worn or bare`]),
    ...(step.people > 1 ? [`${step.id} wants people`] : []),
  ];
}

export function needName(plan: Plan, step: PlanStep, need: number): string {
  return `${step.id} needs ${plan.steps[need]?.id ?? ''}`;
}

/** Collects, state by state, the gates that bind. */
export class Binding {
  readonly found = new Set<string>();
  private readonly plan: Plan;

  constructor(plan: Plan) {
    this.plan = plan;
  }

  note(state: JobState): void {
    if (state.status !== 'atWork') return;
    for (const person of state.people) {
      if (!person.present) continue;
      for (const step of this.plan.steps) {
        const only = this.onlyBlock(state, step, person.id);
        if (only !== undefined) this.found.add(only);
      }
    }
  }

  /** The one gate that keeps the step closed; undefined when none does, or more than one. */
  private onlyBlock(state: JobState, step: PlanStep, by: string): string | undefined {
    let only: string | undefined;
    for (const lock of INTERLOCKS) {
      if (this.plan.without.has(lock.id) || !lock.covers(step)) continue;
      const ask = { state, step, by, blocks: [] };
      lock.check(ask);
      if (ask.blocks.length === 0) continue;
      if (only !== undefined) return undefined;
      only = this.nameOf(state, step, by, lock.id);
      if (only === undefined) return undefined;
    }
    return only;
  }

  private nameOf(state: JobState, step: PlanStep, by: string, id: string): string | undefined {
    if (id === 'wear') return `${step.id} wants worn or bare`;
    if (id === 'people') return `${step.id} wants people`;
    if (id !== 'needs') return id;
    const lacking = step.needs.filter(
      (need) => !isFresh(state, need, by) && ((state.marks[need] ?? 0) & NOT_APPLICABLE) === 0,
    );
    return lacking.length === 1 ? needName(this.plan, step, lacking[0] ?? -1) : undefined;
  }
}
