/**
 * What the monitors are given credit for while a job is explored: never more than the engine itself
 * still leans on.
 *
 * The monitors see every event of every path. A fact that the engine has let go (because it lapsed, or
 * because nothing ahead asks for it) is let go in their scene too, an outcome is replaced by the first one
 * that rules out the same steps, and notes that only lapses of a let-go fact could ask for are dropped.
 * Each of these makes the monitors stricter or changes nothing they can ask, so a property that holds over
 * the settled scenes holds over the true ones; and one that breaks is run again over the whole trace.
 */
import type { StepKind } from '../checklist/model.ts';
import { FRESH as HOLDS, isFresh, type JobState } from '../job/state.ts';
import { FRESH, type Scene } from '../safety/scene.ts';

const STILL = { boot: 'explored', mono: 0, at: '', offset: 0 };

/** Kinds whose fact the engine itself leans on; for the others it asks positions, locks and connectors. */
const LEANT_ON: ReadonlySet<StepKind> = new Set<StepKind>([
  'confirm',
  'tell',
  'photo',
  'find',
  'case',
  'reading',
  'contacts',
  'release',
  'prove',
  'clear',
  'sign',
]);

function leansOn(state: JobState, step: number): boolean {
  const plan = state.plan.steps[step];
  if (!plan) return false;
  return (
    LEANT_ON.has(plan.do) || (plan.do === 'open' && state.plan.ends[plan.end]?.kind === 'prop')
  );
}

function settledSteps(scene: Scene, state: JobState): readonly number[] {
  let copy: number[] | undefined;
  for (const [at, bits] of scene.steps.entries()) {
    if ((bits & FRESH) === 0) continue;
    if (!leansOn(state, at) || ((state.marks[at] ?? 0) & HOLDS) !== 0) continue;
    copy ??= [...scene.steps];
    copy[at] = bits & ~FRESH;
  }
  return copy ?? scene.steps;
}

function firstAlike(state: JobState, step: number, option: string): string {
  const plan = state.plan.steps[step];
  if (plan?.step.do !== 'choose') return option;
  const rulesOut = (each: string) =>
    plan.dependents
      .filter((at) => {
        const rule = state.plan.steps[at]?.when.find((when) => when.step === step);
        return rule !== undefined && !rule.options.includes(each);
      })
      .join();
  const wanted = rulesOut(option);
  return Object.keys(plan.step.options).find((each) => rulesOut(each) === wanted) ?? option;
}

/** The scene with nothing in it that the engine does not hold as well. */
export function settleScene(scene: Scene, state: JobState): Scene {
  const steps = settledSteps(scene, state);
  return {
    ...scene,
    seen: 0,
    clock: STILL,
    steps,
    people: scene.people.map((person) => ({
      id: person.id,
      worn: person.worn.filter((step) => isFresh(state, step, person.id)),
    })),
    chosen: scene.chosen.map(({ step, option }) => ({
      step,
      option: firstAlike(state, step, option),
    })),
    connectors: scene.connectors.map(({ id, open }) => ({ id, open, reseatedBy: -1 })),
    unchecked: scene.unchecked.filter(({ step }) => ((steps[step] ?? 0) & FRESH) !== 0),
    made: [],
    isolatedAt: scene.isolatedAt.map((at) => (at < 0 ? at : 0)),
  };
}
