/** Interlocks about people: what they wear, whether they were briefed, how many are here, what they may do. */
import { block, type Ask } from './block.ts';
import type { PlanStep } from './plan.ts';
import { FRESH, personOf, presentCount, SETTLED } from './state.ts';

export function checkWorn(ask: Ask, on: number, off: number, clears: readonly number[]): void {
  const { state, by } = ask;
  const person = personOf(state, by);
  const lacking = on & ~(person?.on ?? 0);
  const wrong = off & ~(person?.off ?? 0);
  const names = (mask: number) =>
    state.plan.items.filter((_, at) => (mask & (1 << at)) !== 0).join(', ');
  if (lacking !== 0)
    block(ask, 'must-wear', 'mustWear', { person: by, items: names(lacking) }, clears);
  if (wrong !== 0) {
    block(ask, 'must-not-wear', 'mustNotWear', { person: by, items: names(wrong) }, clears);
  }
}

export function checkWear(ask: Ask): void {
  const { state, step } = ask;
  const clears = state.plan.ofKind.wear.filter((at) => {
    const wear = state.plan.steps[at] as PlanStep;
    return (wear.on & step.wearing) !== 0 || (wear.off & step.bare) !== 0;
  });
  checkWorn(ask, step.wearing, step.bare, clears);
}

export function checkBriefing(ask: Ask): void {
  const { state } = ask;
  for (const step of state.plan.ofKind.tell) {
    if (step > ask.step.index) return; /* what is told later is told to whoever is here then */
    const mark = state.marks[step] ?? 0;
    if ((mark & SETTLED) === 0 || (mark & FRESH) !== 0) continue;
    block(ask, 'people', 'brief', { step: state.plan.steps[step]?.id ?? '' }, [step]);
  }
}

export function checkPeople(ask: Ask): void {
  const { state, step } = ask;
  const here = presentCount(state);
  if (here < step.people) block(ask, 'people', 'fewPeople', { least: step.people, here });
}

export function checkCompetence(ask: Ask): void {
  const { state, by } = ask;
  const has = personOf(state, by)?.competence ?? [];
  const missing = state.plan.checklist.competence.filter((each) => !has.includes(each));
  if (missing.length > 0) {
    block(ask, 'competence', 'competence', { person: by, missing: missing.join(', ') });
  }
}
