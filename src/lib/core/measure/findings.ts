/**
 * What the steps of a job came to, in the outcome words of the suspects: the bridge from what was recorded
 * to the diagnosis. A fact that has ended (a corrected slip, a meter in doubt) says nothing any more.
 */
import type { Checklist, Step } from '../checklist/model.ts';
import { judgeContacts } from './contacts.ts';
import {
  contactsOutcomes,
  diagnose,
  mayOrder,
  testsOf,
  type Diagnosis,
  type Finding,
  type OrderAnswer,
} from './diagnosis.ts';
import { parseQuantity } from './quantity.ts';

/** One step as recorded; the shape of what a job's view says of it. */
export interface StepFound {
  readonly id: string;
  readonly state: string;
  readonly fact?: {
    readonly ended?: string;
    readonly result?: {
      readonly verdict?: string;
      readonly option?: string;
      readonly rest?: string;
      readonly pressed?: string;
    };
  };
}

/** The findings of these steps, in the order of the checklist. */
export function findingsOf(
  checklist: Pick<Checklist, 'steps'>,
  found: readonly StepFound[],
): Finding[] {
  const byId = new Map(found.map((each) => [each.id, each]));
  return checklist.steps.flatMap((step): Finding[] => {
    const each = byId.get(step.id);
    if (each?.fact === undefined || each.fact.ended !== undefined || each.state === 'part')
      return [];
    if (each.state === 'notDone' || each.state === 'notApplicable') return [];
    const outcomes = outcomesOf(step, each.fact.result ?? {});
    const inPlace = step.do === 'contacts' && step.inPlace === true;
    return outcomes.length === 0 ? [] : [{ step: step.id, outcomes, inPlace }];
  });
}

function outcomesOf(
  step: Step,
  result: NonNullable<NonNullable<StepFound['fact']>['result']>,
): readonly string[] {
  switch (step.do) {
    case 'reading':
      return result.verdict === undefined ? [] : [result.verdict];
    case 'choose':
      return result.option === undefined ? [] : [result.option];
    case 'contacts': {
      const { rest = '', pressed = '' } = result;
      const kind = step.rest === undefined ? undefined : step.rest === 'open' ? 'NO' : 'NC';
      return contactsOutcomes(judgeContacts({ terminals: step.terminals, rest, pressed, kind }));
    }
    default:
      return ['done'];
  }
}

/** One suspect's part and the step at which it is ordered, held or not. */
export interface OrderStanding extends OrderAnswer {
  readonly suspect: string;
  readonly step: string;
}

export interface JobDiagnosis extends Diagnosis {
  readonly orders: readonly OrderStanding[];
}

/** The diagnosis of a job as it stands; null for a checklist without suspects. */
export function diagnosisOf(
  checklist: Pick<Checklist, 'suspects' | 'steps'>,
  found: readonly StepFound[],
): JobDiagnosis | null {
  const { suspects } = checklist;
  if (suspects === undefined || Object.keys(suspects).length === 0) return null;
  const ruledOut = new Set(
    found.filter(({ state }) => state === 'notApplicable').map(({ id }) => id),
  );
  const chosen = new Map(found.map(({ id, fact }) => [id, fact?.result?.option]));
  // A test that hangs on a choice still open is none to be sent to.
  const applies = ({ id, when }: Step) =>
    !ruledOut.has(id) &&
    Object.entries(when ?? {}).every(([step, options]) =>
      [options].flat().includes(chosen.get(step) ?? ''),
    );
  const tests = testsOf(checklist, minutesOf, applies);
  const diagnosis = diagnose(suspects, findingsOf(checklist, found), tests);
  const orders = Object.entries(suspects).flatMap(([suspect, { orderAt }]) =>
    orderAt === undefined
      ? []
      : [{ suspect, step: orderAt, ...mayOrder(suspects, diagnosis, suspect) }],
  );
  return { ...diagnosis, orders };
}

function minutesOf(takes: string): number | null {
  const read = parseQuantity(takes);
  return read.ok && read.quantity.dimension === 'time' ? read.quantity.si / 60 : null;
}
