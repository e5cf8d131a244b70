/**
 * The limits of a firm, set by its safety officer, written into a checklist: each value is judged against
 * the one that stands, and the list says from whom it has it. The job then pins the list as any other, so
 * the screen, the record and the bag show the house value and its origin without a rule of their own.
 *
 *     format: 1
 *     firm: Alder Row Appliance Service
 *     officer: Mara Quill
 *     issued: 2026-11-02
 *     limits:
 *       range-door-lock:            # id of a checklist
 *         bond: {most: 0.2 ohm}     # id of a reading step: least, most
 *
 * and, in the same file, `rules` and `languages` (`house-rules.ts`).
 */
import { z } from 'zod';
import type { Checklist, LimitOrigin, StepOf } from '../checklist/model.ts';
import { acceptBand } from './accept.ts';
import { isDate } from './dates.ts';
import { rulesSchema, withRules } from './house-rules.ts';
import { limitInForce, type Limit } from './limits.ts';

const text = z.string().trim().min(1).max(200);
const bounds = z.strictObject({ least: text.optional(), most: text.optional() });
const fileSchema = z.strictObject({
  format: z.literal(1),
  firm: text,
  officer: text,
  issued: z.string().refine(isDate, 'has to be a date, YYYY-MM-DD'),
  limits: z.record(z.string(), z.record(z.string(), bounds)).default({}),
  rules: z.record(z.string(), z.record(z.string(), rulesSchema)).default({}),
  languages: z.array(z.string().regex(/^[a-z]{2,3}$/u, 'has to be a code such as es')).default([]),
});

export type HouseFile = z.infer<typeof fileSchema>;
type HouseBounds = z.infer<typeof bounds>;

export interface HouseProblem {
  /** `limits.range-door-lock.bond`. */
  readonly path: string;
  readonly says: string;
}

export interface HouseApplied {
  readonly step: string;
  /** The limit before, in words: `at most 0.3 ohm (default)`. */
  readonly before: string;
  readonly now: string;
}

export interface HouseResult {
  /** The list with the house values in it; unchanged steps stay as they were. */
  readonly checklist: Checklist;
  readonly applied: readonly HouseApplied[];
  /** Values that were not taken, each with the reason. Nothing is taken while there is one. */
  readonly refused: readonly HouseProblem[];
}

/** Reads a file of house limits as parsed; every problem at once. */
export function readHouseFile(
  value: unknown,
): { readonly ok: true; readonly file: HouseFile } | { ok: false; problems: HouseProblem[] } {
  const read = fileSchema.safeParse(value);
  if (read.success) return { ok: true, file: read.data };
  const problems = read.error.issues.map(({ path, message }) => ({
    path: path.join('.'),
    says: message,
  }));
  return { ok: false, problems };
}

/** Languages that the firm asks for and in which the list has no words, as problems. */
export function missingLanguages(file: HouseFile, there: readonly string[]): HouseProblem[] {
  return file.languages
    .filter((language) => !there.includes(language))
    .map((language) => ({
      path: 'languages',
      says: `The list has no words in ${language}; it has ${there.join(', ')}. Translate it first.`,
    }));
}

/** Writes the house values and rules for this list into it. */
export function withHouseLimits(checklist: Checklist, file: HouseFile): HouseResult {
  const values = file.limits[checklist.id] ?? {};
  const applied: HouseApplied[] = [];
  const refused: HouseProblem[] = [];
  const references: Record<string, string> = { ...checklist.references };
  const steps = checklist.steps.map((step) => {
    const house = values[step.id];
    if (house === undefined) return step;
    const path = `limits.${checklist.id}.${step.id}`;
    const judged = step.do === 'reading' ? judgeOne(step, house) : 'It is no reading step.';
    if (typeof judged === 'string' || step.do !== 'reading') {
      refused.push({ path, says: String(judged) });
      return step;
    }
    const { before, now, origin } = judged;
    const reference = `house-${step.id}`;
    const cited = step.reference === undefined ? '' : `, ${references[step.reference] ?? ''}`;
    references[reference] =
      `House limit of ${file.firm}, issued ${file.issued} by ${file.officer}: ${now}; ` +
      `before ${before} (${origin}${cited})`;
    applied.push({ step: step.id, before: `${before} (${origin})`, now });
    return { ...step, accept: judged.accept, limit: 'house' as const, reference };
  });
  for (const id of Object.keys(values)) {
    if (checklist.steps.some((step) => step.id === id)) continue;
    const path = `limits.${checklist.id}.${id}`;
    refused.push({ path, says: `There is no step “${id}” in this checklist.` });
  }
  const ruled = withRules({ ...checklist, steps }, file.rules[checklist.id] ?? {});
  refused.push(...ruled.refused);
  if (refused.length > 0) return { checklist, applied: [], refused };
  if (ruled.applied.length > 0) {
    const said = ruled.applied.map(({ step, before, now }) => `${step} ${now} (before: ${before})`);
    references['house-rules'] =
      `House rules of ${file.firm}, issued ${file.issued} by ${file.officer}: ${said.join('; ')}`;
  }
  return {
    checklist: { ...checklist, references, steps: ruled.steps },
    applied: [...applied, ...ruled.applied],
    refused,
  };
}

interface Judged {
  readonly accept: { readonly least?: string; readonly most?: string };
  readonly before: string;
  readonly now: string;
  readonly origin: LimitOrigin;
}

/** The bounds with the house value in them, or why it is not taken. */
function judgeOne(step: StepOf<'reading'>, house: HouseBounds): Judged | string {
  const accept = step.accept;
  if (accept === undefined) return 'This step accepts anything; give it a limit in the list first.';
  if ('pairs' in accept || 'open' in accept || 'element' in accept)
    return 'A house value stands for a limit of least or most; this step has another form.';
  if (house.least === undefined && house.most === undefined) return 'Give least, most or both.';
  const [standing, value] = [acceptBand(accept), acceptBand(house)];
  if (!standing.ok) return standing.problem.says;
  if (!value.ok) return value.problem.says;
  if (standing.value.dimension !== value.value.dimension)
    return `${value.value.says} is not of the kind that this step reads (${standing.value.says}).`;
  const origin = step.limit ?? 'default';
  const limits = [limitOf(standing.value, origin), limitOf(value.value, 'house')];
  const [looser] = limitInForce(limits).refused;
  if (looser !== undefined)
    return `${value.value.says} is looser than the ${origin} limit (${standing.value.says}); a house value may only be stricter.`;
  const next = { ...accept, ...house };
  const now = acceptBand(next);
  if (!now.ok) return now.problem.says;
  return { accept: written(next), before: standing.value.says, now: now.value.says, origin };
}

function written(accept: HouseBounds): Judged['accept'] {
  return {
    ...(accept.least === undefined ? {} : { least: accept.least }),
    ...(accept.most === undefined ? {} : { most: accept.most }),
  };
}

function limitOf(
  { least, most }: { readonly least: number | null; readonly most: number | null },
  origin: LimitOrigin,
): Limit {
  return {
    origin,
    ...(least === null ? {} : { least }),
    ...(most === null ? {} : { most }),
  };
}
