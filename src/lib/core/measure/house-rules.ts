/**
 * What a firm asks of a list beyond its limits: shorter shelf lives, more that ends a fact, more people. Each
 * is judged against what the list says already; a firm may be stricter, never laxer.
 *
 *     rules:
 *       range-door-lock:                                   # id of a checklist
 *         dead: {keeps: 10 min, unless: [leftSight]}       # id of a step
 *         live: {people: 2}
 *     languages: [en, es]                                  # every list has to have words in these
 */
import { z } from 'zod';
import { LAPSES, type Checklist, type Step } from '../checklist/model.ts';
import { PROOF_KEEPS, ROLL_CALL_KEEPS } from '../checklist/quantities.ts';
import type { HouseApplied, HouseProblem } from './house-limits.ts';
import { parseQuantity } from './quantity.ts';

export const rulesSchema = z.strictObject({
  keeps: z.string().optional(),
  unless: z.array(z.enum(LAPSES)).min(1).optional(),
  people: z.int().min(1).max(20).optional(),
});
export type StepRules = z.infer<typeof rulesSchema>;

export interface Ruled {
  readonly steps: readonly Step[];
  readonly applied: readonly HouseApplied[];
  readonly refused: readonly HouseProblem[];
}

/** The steps with the rules in them; a step with a rule that is refused stays as it was. */
export function withRules(checklist: Checklist, rules: Readonly<Record<string, StepRules>>): Ruled {
  const applied: HouseApplied[] = [];
  const refused: HouseProblem[] = [];
  const refuse = (step: string, says: string) =>
    refused.push({ path: `rules.${checklist.id}.${step}`, says });
  const steps = checklist.steps.map((step) => {
    const rule = rules[step.id];
    if (rule === undefined) return step;
    const changes = changesOf(checklist, step, rule);
    const looser = changes.flatMap((each) => (typeof each === 'string' ? [each] : []));
    if (changes.length === 0) looser.push('Give keeps, unless or people.');
    looser.forEach((says) => refuse(step.id, says));
    if (looser.length > 0) return step;
    return changes.reduce<Step>((all, each) => {
      if (typeof each === 'string') return all;
      applied.push({ step: step.id, before: each.before, now: each.now });
      return { ...all, ...each.put(all) };
    }, step);
  });
  for (const id of Object.keys(rules)) {
    if (!checklist.steps.some((step) => step.id === id))
      refuse(id, `There is no step “${id}” in this checklist.`);
  }
  return { steps, applied, refused };
}

interface Change {
  readonly before: string;
  readonly now: string;
  readonly put: (step: Step) => Pick<Step, 'keeps' | 'people'>;
}

function changesOf(checklist: Checklist, step: Step, rule: StepRules): (Change | string)[] {
  const { keeps, unless, people } = rule;
  return [
    ...(keeps === undefined ? [] : [shorter(checklist, step, keeps)]),
    ...(unless === undefined ? [] : [moreEnds(step, unless)]),
    ...(people === undefined ? [] : [morePeople(step, people)]),
  ];
}

/** Seconds, for a text such as `10 min`; null for anything that is no time above zero. */
function secondsOf(text: string): number | null {
  const read = parseQuantity(text);
  if (!read.ok || read.quantity.dimension !== 'time' || read.quantity.si <= 0) return null;
  return read.quantity.si;
}

/** What holds already, of the step, of its source and of the standing rules. */
function standing(checklist: Checklist, step: Step): number {
  const source = step.do === 'prove' || step.do === 'release' ? step.source : undefined;
  const said = [
    step.keeps?.for,
    source === undefined ? undefined : checklist.sources[source]?.keeps?.for,
  ];
  return Math.min(
    step.do === 'prove' ? PROOF_KEEPS : step.do === 'clear' ? ROLL_CALL_KEEPS : Infinity,
    ...said.map((text) => (text === undefined ? null : secondsOf(text)) ?? Infinity),
  );
}

function shorter(checklist: Checklist, step: Step, text: string): Change | string {
  const seconds = secondsOf(text);
  if (seconds === null) return `“${text}” is no time; write it as “10 min”.`;
  const before = standing(checklist, step);
  const words = before === Infinity ? 'until something ends it' : `${before / 60} min`;
  if (seconds > before)
    return `${text} is longer than what stands (${words}); a house rule may only be stricter.`;
  return {
    before: `keeps ${words}`,
    now: `keeps ${text}`,
    put: ({ keeps }) => ({ keeps: { ...keeps, for: text } }),
  };
}

function moreEnds(step: Step, unless: NonNullable<StepRules['unless']>): Change {
  const own = step.keeps?.unless ?? [];
  const all = [...new Set([...own, ...unless])];
  return {
    before: own.length === 0 ? 'ended by the standing table' : `ended also by ${own.join(', ')}`,
    now: `ended also by ${all.join(', ')}`,
    put: ({ keeps }) => ({ keeps: { ...keeps, unless: all } }),
  };
}

function morePeople(step: Step, people: number): Change | string {
  const before = step.people ?? 1;
  if (people < before)
    return `${people} is fewer people than the list asks for (${before}); a house rule may only be stricter.`;
  return {
    before: `at least ${before} present`,
    now: `at least ${people} present`,
    put: () => ({ people }),
  };
}
