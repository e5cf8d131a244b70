/** Reviews the `suspects` of a checklist: names that do not exist, outcomes that cannot come, dead ends. */
import type { Checklist, Step, Suspect } from '../checklist/model.ts';
import { contactTable, type Terminals } from './contacts.ts';
import type { Problem } from './outcome.ts';

export interface SuspectProblem extends Problem {
  /** Path inside the checklist, such as `suspects.board.blamedBy.board-output` or `steps[42].needs`. */
  readonly path: string;
  /** The same, part by part. */
  readonly at?: readonly (string | number)[];
}

export function reviewSuspects(checklist: Pick<Checklist, 'suspects' | 'steps'>): SuspectProblem[] {
  const problems: SuspectProblem[] = [];
  const steps = new Map(checklist.steps.map((step) => [step.id, step]));
  for (const [id, suspect] of Object.entries(checklist.suspects ?? {})) {
    problems.push(...reviewOne(id, suspect, steps));
    problems.push(...reviewOrder(id, suspect, checklist));
  }
  return problems;
}

/**
 * The step at which a part is ordered has to need what settles every cheaper suspect: the engine holds
 * that step by its `needs`, so a verdict that is not named there would not be waited for. A choice that the order
 * asks for in any case, before that step, is held by the order: it stands until it is corrected, and then the order
 * asks for it again.
 */
function reviewOrder(
  id: string,
  suspect: Suspect,
  { suspects, steps }: Pick<Checklist, 'suspects' | 'steps'>,
): SuspectProblem[] {
  if (suspect.orderAt === undefined) return [];
  const at = steps.findIndex((step) => step.id === suspect.orderAt);
  const order = steps[at];
  if (order === undefined) {
    const says = `There is no step “${suspect.orderAt}” in this checklist.`;
    return [{ path: `suspects.${id}.orderAt`, code: 'unknown-step', says }];
  }
  const problems: SuspectProblem[] = [];
  const choices = steps
    .slice(0, at)
    .filter(isAskedInAnyCase)
    .map((step) => step.id);
  const needs = new Set([...(order.needs ?? []), ...choices]);
  for (const [other, cheaper] of Object.entries(suspects ?? {})) {
    if (other === id || costOf(cheaper) >= costOf(suspect)) continue;
    for (const step of missingVerdicts(cheaper, needs)) {
      // A name that no step has is reported where it stands.
      if (!steps.some((each) => each.id === step)) continue;
      problems.push({
        path: `steps[${at}].needs`,
        at: ['steps', at, 'needs'],
        code: 'order-not-held',
        says:
          `“${order.id}” orders ${suspect.label} (cost ${costOf(suspect)}) and does not need “${step}”, which gives ` +
          `the cheaper ${cheaper.label} (cost ${costOf(cheaper)}) its verdict; add it to its needs.`,
      });
    }
  }
  return problems;
}

function isAskedInAnyCase({ do: kind, when, optional, together }: Step): boolean {
  return kind === 'choose' && when === undefined && optional !== true && together === undefined;
}

/** The steps whose outcome this suspect's verdict waits for and that are not needed. */
function missingVerdicts(suspect: Suspect, needs: ReadonlySet<string>): string[] {
  const clearing = Object.keys(suspect.clearedBy ?? {});
  if (clearing.length > 0) return clearing.filter((step) => !needs.has(step));
  const blaming = Object.keys(suspect.blamedBy ?? {});
  return blaming.some((step) => needs.has(step)) ? [] : blaming.slice(0, 1);
}

function costOf(suspect: Suspect): number {
  return suspect.cost ?? 1;
}

function reviewOne(
  id: string,
  suspect: Suspect,
  steps: ReadonlyMap<string, Step>,
): SuspectProblem[] {
  const problems: SuspectProblem[] = [];
  const path = `suspects.${id}`;
  const add = (at: string, code: string, says: string) => problems.push({ path: at, code, says });
  if (suspect.cost !== undefined && !(suspect.cost > 0 && Number.isFinite(suspect.cost))) {
    add(`${path}.cost`, 'cost', 'The cost must be a number above zero.');
  }
  for (const side of ['clearedBy', 'blamedBy'] as const) {
    for (const [stepId, outcomes] of Object.entries(suspect[side] ?? {})) {
      const at = `${path}.${side}.${stepId}`;
      const step = steps.get(stepId);
      if (step === undefined) {
        add(at, 'unknown-step', `There is no step “${stepId}” in this checklist.`);
        continue;
      }
      const possible = outcomesOf(step);
      for (const outcome of outcomes) {
        if (possible.has(outcome)) continue;
        add(
          at,
          'unknown-outcome',
          `Step “${stepId}” never comes out as “${outcome}”; it can be ${[...possible].join(', ')}.`,
        );
      }
      if (step.do === 'contacts' && step.inPlace === true) {
        add(
          at,
          'in-place',
          `Step “${stepId}” reads in circuit, so it can neither clear nor blame.`,
        );
      }
    }
  }
  problems.push(...reviewPair(path, suspect));
  return problems;
}

function reviewPair(path: string, suspect: Suspect): SuspectProblem[] {
  const problems: SuspectProblem[] = [];
  for (const [step, outcomes] of Object.entries(suspect.clearedBy ?? {})) {
    const both = outcomes.filter((outcome) => suspect.blamedBy?.[step]?.includes(outcome));
    for (const outcome of both) {
      problems.push({
        path: `${path}.clearedBy.${step}`,
        code: 'clears-and-blames',
        says: `“${outcome}” of “${step}” both clears and blames ${suspect.label}.`,
      });
    }
  }
  if (Object.keys({ ...suspect.clearedBy, ...suspect.blamedBy }).length === 0) {
    problems.push({
      path,
      code: 'no-test',
      says: `No step clears or blames ${suspect.label}: every dearer part would wait for ever.`,
    });
  }
  return problems;
}

/** Every outcome word that a step can come to. */
function outcomesOf(step: Step): ReadonlySet<string> {
  switch (step.do) {
    case 'reading':
      return new Set(['pass', 'fail', 'cannotTell', 'notTaken']);
    case 'contacts':
      return new Set([
        'healthy',
        'faulty',
        'unclear',
        'high-resistance',
        ...codesOf(step.terminals),
      ]);
    case 'choose':
      return new Set(Object.keys(step.options));
    default:
      return new Set(['done']);
  }
}

function codesOf(terminals: Terminals): string[] {
  const kinds = terminals === 2 ? (['NO', 'NC'] as const) : [undefined];
  return kinds.flatMap((kind) =>
    Object.values(contactTable(terminals, kind)).map(({ code }) => code),
  );
}
