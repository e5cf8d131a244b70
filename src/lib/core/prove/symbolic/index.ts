/**
 * Walks a checklist over sets of states: every state of the engine within the bounds, the properties by induction
 * over them, dead ends, and the gates that bind. The public face of this room.
 */
import type { Checklist } from '../../checklist/model.ts';
import type { Bounds } from '../../job/enabled-commands.ts';
import type { Move } from '../moves.ts';
import { NO } from './diagrams.ts';
import { bindingGates } from './idle.ts';
import { Refinement } from './refine.ts';
import { settingsOf } from './variables.ts';
import { Walk } from './walk.ts';
import { deadEnds } from './ways-back.ts';

export interface Walked {
  /** States of the engine, people told apart: the unopened job, every open state, every end that is reached. */
  readonly states: number;
  readonly transitions: number;
  readonly complete: boolean;
  /**
   * What could not be shown by induction, in words; empty when every property holds in every state. Not a
   * counterexample: that is only ever a trace. Undefined when not every state is known.
   */
  readonly unshown: readonly string[] | undefined;
  /**
   * Shortest ways to states from which the job cannot be handed back; undefined when not every state is known, and
   * when there are such states and the ways to them were not found before it was stopped.
   */
  readonly deadEnds: readonly (readonly Move[])[] | undefined;
  /** Gates that are somewhere all that keeps a step closed, as `../binding.ts` names them. */
  readonly binding: ReadonlySet<string>;
  /** Open states by the phase of the first step that is not settled. */
  readonly byPhase: readonly number[];
}

const PHASES = 7;
const ENDS = ['handedBack', 'refused', 'evidenceHold'] as const;

/**
 * @param progress called now and then, with how to count the states found (no small work); `false` stops
 * @param without ids of interlocks taken out
 */
export function walk(
  checklist: Checklist,
  bounds: Bounds,
  progress: (states: () => number) => boolean = () => true,
  without: readonly string[] = [],
): Walked {
  const all = new Walk(checklist, bounds, without);
  const goOn = () => progress(() => all.states);
  const complete = all.run(goOn);
  const byPhase = Array.from({ length: PHASES }, () => 0);
  all.slices.forEach(({ states }, at) => {
    const phase = all.of.plan.steps[at]?.phase ?? PHASES - 1;
    byPhase[phase] = (byPhase[phase] ?? 0) + all.d.countOf(states, all.of.count);
  });
  const ended = ENDS.filter((end) => all.mayEnd(end)).length;
  return {
    states: 1 + all.states + ended,
    transitions: 1 + all.transitions,
    complete,
    unshown: complete ? unshownOf(all) : undefined,
    deadEnds: complete ? deadEnds(all, bounds, goOn) : undefined,
    binding: complete ? bindingGates(all) : new Set(),
    byPhase,
  };
}

/** The duties of the induction that do not hold in some state that is reached. */
export function unshownOf(all: Walk): string[] {
  const { d, of, moves } = all;
  const refinement = new Refinement(d, of, moves);
  const unshown = new Set(refinement.unlikeAtFirst(settingsOf(of, all.opened)));
  for (const [number, move] of moves.list.entries()) {
    const duties = refinement.duties(move);
    for (const slice of duties.length > 0 ? all.slices : []) {
      const may = slice.within(slice.allowed(number));
      if (may === NO) continue;
      for (const { says, never } of duties) {
        if (!unshown.has(says) && d.and(may, slice.within(never)) !== NO) unshown.add(says);
      }
    }
  }
  return [...unshown];
}
