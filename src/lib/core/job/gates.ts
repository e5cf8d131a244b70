/** Whether a step is open to a person now: the standing interlocks, asked in one place. */
import type { Ask, Block } from './block.ts';
import { INTERLOCKS, type Interlock } from './interlocks.ts';
import type { Plan, PlanStep } from './plan.ts';
import type { JobState } from './state.ts';

const covering = new WeakMap<Plan, ReadonlyMap<number, readonly Interlock[]>>();

/** Interlocks that can concern each step, worked out once for a plan. */
function interlocksOf(plan: Plan, step: number): readonly Interlock[] {
  let map = covering.get(plan);
  if (!map) {
    map = new Map(
      plan.steps.map((each) => [
        each.index,
        INTERLOCKS.filter((lock) => !plan.without.has(lock.id) && lock.covers(each)),
      ]),
    );
    covering.set(plan, map);
  }
  return map.get(step) ?? [];
}

/** Everything that keeps the step closed to this person; stops at the first one when `quick`. */
export function stepBlocks(
  state: JobState,
  step: PlanStep,
  by: string,
  quick = false,
): readonly Block[] {
  const ask: Ask = { state, step, by, blocks: [] };
  for (const interlock of interlocksOf(state.plan, step.index)) {
    interlock.check(ask);
    if (quick && ask.blocks.length > 0) break;
  }
  return ask.blocks;
}
