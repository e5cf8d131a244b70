/**
 * The words that were on the screen, by step and language, as they go into a bag: a reader years later
 * needs no copy of the program to know what a technician was told.
 */
import { z } from 'zod';
import type { Checklist, Step } from '../checklist/model.ts';
import { canonicalBytes } from '../record/canonical.ts';
import type { Json } from '../record/canonical.ts';
import { flawed, good } from '../record/outcome.ts';
import type { Outcome } from '../record/outcome.ts';

export interface ShownStep {
  readonly say: string;
  readonly why?: string;
  readonly states?: string;
  readonly options?: Readonly<Record<string, string>>;
  readonly cautions?: readonly { readonly signal: string; readonly text: string }[];
}

export interface ShownWords {
  /** BCP 47. */
  readonly language: string;
  readonly title: string;
  readonly scope: string;
  readonly defer: string;
  readonly licensed: string;
  readonly barred: readonly string[];
  readonly sources: Readonly<Record<string, string>>;
  /** By `source.point`. */
  readonly points: Readonly<Record<string, string>>;
  readonly ends: Readonly<Record<string, string>>;
  readonly steps: Readonly<Record<string, ShownStep>>;
}

/** What a checklist puts on the screen; a translation is a checklist with the same ids. */
export function wordsShown(checklist: Checklist): ShownWords {
  const { language, title, scope, defer, licensed, barred } = checklist;
  const sources = Object.entries(checklist.sources);
  return {
    language,
    title,
    scope,
    defer,
    licensed,
    barred,
    sources: Object.fromEntries(sources.map(([id, source]) => [id, source.label])),
    points: Object.fromEntries(
      sources.flatMap(([id, source]) =>
        Object.entries(source.points ?? {}).map(([point, { label }]) => [`${id}.${point}`, label]),
      ),
    ),
    ends: Object.fromEntries(Object.entries(checklist.ends).map(([id, end]) => [id, end.label])),
    steps: Object.fromEntries(checklist.steps.map((step) => [step.id, stepShown(step)])),
  };
}

function stepShown(step: Step): ShownStep {
  return {
    say: step.say,
    ...(step.why === undefined ? {} : { why: step.why }),
    ...('states' in step ? { states: step.states } : {}),
    ...(step.do === 'choose' ? { options: step.options } : {}),
    ...(step.cautions === undefined
      ? {}
      : { cautions: step.cautions.map(({ signal, text }) => ({ signal, text })) }),
  };
}

export function shownBytes(words: ShownWords): Uint8Array {
  return canonicalBytes(words);
}

const words = z.string();
const labels = z.record(words, words);
const SHOWN = z.strictObject({
  language: words,
  title: words,
  scope: words,
  defer: words,
  licensed: words,
  barred: z.array(words),
  sources: labels,
  points: labels,
  ends: labels,
  steps: z.record(
    words,
    z.strictObject({
      say: words,
      why: words.exactOptional(),
      states: words.exactOptional(),
      options: labels.exactOptional(),
      cautions: z.array(z.strictObject({ signal: words, text: words })).exactOptional(),
    }),
  ),
}) satisfies z.ZodType<ShownWords>;

/** Checks the shape of words that were read as canonical JSON. */
export function readShown(value: Json): Outcome<ShownWords> {
  const read = SHOWN.safeParse(value);
  if (read.success) return good(read.data);
  const issue = read.error.issues[0];
  return flawed('bad-field', `“${issue?.path.join('.') ?? ''}”: ${issue?.message ?? 'unknown'}.`);
}
