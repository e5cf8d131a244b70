/** Which gates bind, as `../binding.ts` has it, over sets of states: a gate that is somewhere all that keeps a step closed. */
import { INTERLOCKS } from '../../job/interlocks.ts';
import type { PlanStep } from '../../job/plan.ts';
import { needName, ownGatesOf, standingGatesOf } from '../binding.ts';
import { NO, type Diagram } from './diagrams.ts';
import { gatesAt, lacks, type Gate } from './gates.ts';
import type { Walk } from './walk.ts';

/** The names of the gates that bind somewhere. */
export function bindingGates(walk: Walk): ReadonlySet<string> {
  const { plan } = walk.of;
  const found = new Set<string>();
  const wanted = new Set([...ownGatesOf(plan), ...standingGatesOf(plan)]);
  for (const step of plan.steps) {
    for (let by = 0; by < walk.of.people.length; by++) {
      const gates = gatesAt(walk.moves.from, step, by);
      for (const gate of gates) bindingAt(walk, step, by, gates, gate, wanted, found);
    }
  }
  return found;
}

function bindingAt(
  walk: Walk,
  step: PlanStep,
  by: number,
  gates: readonly Gate[],
  gate: Gate,
  wanted: ReadonlySet<string>,
  found: Set<string>,
): void {
  const { d, slices } = walk;
  const names = namesOf(walk, step, by, gate).filter(
    ([name]) => wanted.has(name) && !found.has(name),
  );
  const others = gates.filter((each) => each !== gate).flatMap((each) => each.closed);
  const here = d.and(walk.atWork, walk.moves.from.here(by));
  for (const slice of names.length > 0 ? slices : []) {
    let only = d.and(slice.within(slice.states), slice.within(here));
    for (const each of others) only = only === NO ? NO : d.but(only, slice.within(each));
    if (only === NO) continue;
    for (const [name, closed, not] of names) {
      const alone = not.reduce((left: Diagram, each) => d.but(left, slice.within(each)), only);
      if (closed.some((each) => d.and(alone, slice.within(each)) !== NO)) found.add(name);
    }
    if (names.every(([name]) => found.has(name))) return;
  }
}

type Named = readonly [name: string, closed: readonly Diagram[], not: readonly Diagram[]];

/** A gate by the names it goes by: each fact that a step needs is a gate of its own. */
function namesOf(walk: Walk, step: PlanStep, by: number, gate: Gate): Named[] {
  switch (gate.id) {
    case 'wear':
      return [[`${step.id} wants worn or bare`, gate.closed, []]];
    case 'people':
      return [[`${step.id} wants people`, gate.closed, []]];
    case 'needs': {
      const from = walk.moves.from;
      const each = step.needs.map((need) => lacks(from, need, by));
      return step.needs.map((need, at) => [
        needName(walk.of.plan, step, need),
        [each[at] as Diagram],
        each.filter((_, other) => other !== at),
      ]);
    }
    default:
      return INTERLOCKS.some(({ id }) => id === gate.id) ? [[gate.id, gate.closed, []]] : [];
  }
}
