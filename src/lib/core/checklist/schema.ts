/**
 * The format of a checklist, version 1. The descriptions here are its documentation: the JSON Schema
 * that editors show beside a file is made from them.
 *
 * Shapes only. What hangs together across the file (names, order, gates) is checked after it.
 */
import { z } from 'zod';
import {
  CATEGORIES,
  END_KINDS,
  LAPSES,
  LIMIT_ORIGINS,
  PHASES,
  POINT_MEANS,
  QUANTITIES,
  SIGNAL_WORDS,
  SOURCE_KINDS,
  type Checklist,
} from './model.ts';

// Otherwise it tries to make functions out of text, which the policy of the pages refuses with a complaint.
z.config({ jitless: true });

/** Kebab-case, for checklists and steps. */
export const KEBAB = /^[a-z][a-z0-9]*(?:-[a-z0-9]+)*$/;
/** One word of letters, digits, hyphens and underscores, for everything else that has a name. */
export const WORD = /^[A-Za-z0-9](?:[A-Za-z0-9_-]*[A-Za-z0-9])?$/;
/** Sources, ends, points and worn items: the engine keeps each set in one machine word. */
export const MOST_NAMES = 30;
export const MOST_STEPS = 200;

const kebab = z.string().regex(KEBAB).max(64);
const word = z.string().regex(WORD).max(64);
const words = (most: number) => z.string().min(1).max(most);
const label = words(120);
const sentence = words(600);
const quantity = words(64).describe('A number and a unit: 30 V, 470 uF, 48 °C, 30 min');
const date = z.string().regex(/^\d{4}-\d{2}-\d{2}$/);
const list = <T extends z.ZodType>(of: T) => z.array(of).max(100);
const named = <T extends z.ZodType>(of: T) => z.record(word, of);

const limit = z
  .enum(LIMIT_ORIGINS)
  .describe('Where the limit comes from; shown beside every number');
const reference = word.describe('A key of references');
const cited = { limit: limit.exactOptional(), reference: reference.exactOptional() };

const keeps = z
  .strictObject({
    for: quantity.exactOptional().describe('Shelf life: the fact is void when it is older'),
    unless: list(z.enum(LAPSES))
      .exactOptional()
      .describe('Events that end it, beyond the standing table'),
  })
  .describe('What keeps the fact true; stricter than the standing rules, never laxer');

const point = z.strictObject({
  label,
  by: z
    .enum(POINT_MEANS)
    .describe('The isolating device; a control (thermostat, timer, key) is none'),
  control: z
    .enum(['lock', 'exclusive', 'tag'])
    .describe('A lock of each person, a plug in one person’s sight, or a tag and one more measure'),
});

const dead = z.strictObject({
  pairs: list(word).min(1).describe('Every pair of conductors that is measured'),
  below: quantity,
  category: z
    .enum(CATEGORIES)
    .describe('Measurement category that the instrument needs (IEC 61010-1)'),
});

const release = z
  .union([
    z.strictObject({ cool: z.strictObject({ below: quantity, ...cited }) }),
    z.strictObject({
      discharge: z.strictObject({
        capacitance: quantity,
        bleed: quantity,
        below: quantity,
        ...cited,
      }),
    }),
    z.strictObject({
      measured: z.strictObject({ quantity: z.enum(QUANTITIES), below: quantity, ...cited }),
    }),
    z.strictObject({ stated: z.strictObject({ states: sentence, ...cited }) }),
  ])
  .describe('How stored energy is let go: exactly one of cool, discharge, measured, stated');

export const sourceSchema = z.strictObject({
  kind: z.enum(SOURCE_KINDS),
  label,
  nominal: quantity.exactOptional(),
  case: z
    .enum(['metal', 'insulated'])
    .exactOptional()
    .describe('A metal case is tested to a proven ground before hands touch it'),
  points: named(point).exactOptional().describe('Every place where it must be cut: all of them'),
  dead: dead.exactOptional(),
  release: release.exactOptional(),
  keeps: keeps.exactOptional(),
  from: word.exactOptional().describe('For a charge: the source that fills it'),
});

export const endSchema = z.strictObject({ label, kind: z.enum(END_KINDS) });

const outcomes = z.record(kebab, list(word).min(1));

export const suspectSchema = z.strictObject({
  label,
  cost: z
    .number()
    .min(0)
    .max(1000)
    .exactOptional()
    .describe('Relative cost of replacing on suspicion'),
  part: z.enum(['returnable', 'notReturnable']).exactOptional(),
  clearedBy: outcomes.exactOptional().describe('Step id: the outcomes of it that clear this part'),
  blamedBy: outcomes.exactOptional().describe('Step id: the outcomes of it that blame this part'),
  orderAt: kebab
    .exactOptional()
    .describe('The step at which this part is ordered; it needs what settles the cheaper suspects'),
});

const bounds = z.strictObject({ least: quantity.exactOptional(), most: quantity.exactOptional() });
const accept = z
  .union([
    bounds,
    z.strictObject({ open: z.literal(true) }),
    z.strictObject({ element: z.strictObject({ volts: quantity, watts: quantity }) }),
    z.strictObject({ pairs: named(bounds) }),
  ])
  .describe('What the reading has to be: least and most, open, element, or pairs');

const caution = z.strictObject({
  signal: z.enum(SIGNAL_WORDS).describe('Signal words of ANSI Z535.6 and ISO 3864-2'),
  text: sentence,
  reference: reference.exactOptional(),
});

const common = {
  id: kebab,
  phase: z.enum(PHASES).describe('Never earlier than the phase of the step before'),
  say: words(400).describe('The instruction: imperative, one sentence, one act'),
  why: sentence.exactOptional(),
  cautions: list(caution).exactOptional(),
  needs: list(kebab).exactOptional().describe('Steps whose facts must be fresh, beyond the order'),
  when: z
    .record(kebab, z.union([word, list(word).min(1)]))
    .exactOptional()
    .describe('Outcomes of earlier choose steps under which this step applies'),
  exposes: list(word).exactOptional().describe('Sources that this step exposes a person to'),
  wearing: list(label).exactOptional(),
  bare: list(label).exactOptional().describe('What must not be worn'),
  photo: z.enum(['before', 'after', 'offered']).exactOptional(),
  optional: z.boolean().exactOptional().describe('"Not done, because" is one touch'),
  twice: z.boolean().exactOptional().describe('A second person does it too'),
  takes: quantity.exactOptional().describe('The least honest time for the act'),
  keeps: keeps.exactOptional(),
  people: z.int().min(1).max(20).exactOptional().describe('Least number of people present'),
  together: kebab
    .exactOptional()
    .describe('Neighbours with the same word may be done in any order'),
  limit: limit.exactOptional(),
  reference: reference.exactOptional(),
  review: sentence
    .exactOptional()
    .describe('What a qualified person has yet to review for the place'),
};

const step = <K extends string, S extends z.ZodRawShape>(kind: K, shape: S) =>
  z.strictObject({ ...common, do: z.literal(kind), ...shape });
const atPoint = { source: word, point: word };

export const stepSchemas = {
  confirm: step('confirm', { states: sentence, counts: z.literal('sources').exactOptional() }),
  tell: step('tell', {}),
  wear: step('wear', { on: list(label).exactOptional(), off: list(label).exactOptional() }),
  photo: step('photo', {}),
  find: step('find', atPoint),
  case: step('case', { source: word, pairs: list(word).min(1).exactOptional() }),
  reading: step('reading', {
    source: word.exactOptional(),
    quantity: z.enum(QUANTITIES),
    accept: accept.exactOptional(),
  }),
  contacts: step('contacts', {
    terminals: z.literal([2, 3, 4]),
    rest: z
      .enum(['open', 'closed'])
      .exactOptional()
      .describe('Two terminals: a healthy part at rest'),
    inPlace: z
      .boolean()
      .exactOptional()
      .describe('Read with the wires on; cannot close a diagnosis'),
  }),
  choose: step('choose', { options: named(sentence) }),
  isolate: step('isolate', atPoint),
  lock: step('lock', atPoint),
  release: step('release', { source: word }),
  prove: step('prove', { source: word }),
  open: step('open', { end: word }),
  close: step('close', { end: word }),
  disconnect: step('disconnect', {
    expect: z
      .strictObject({
        least: z.int().min(1).max(100).exactOptional(),
        most: z.int().min(1).max(100).exactOptional(),
      })
      .exactOptional(),
  }),
  reseat: step('reseat', {}),
  window: step('window', {
    source: word,
    reasons: list(sentence).exactOptional(),
    allows: list(kebab).min(1).describe('Readings that may be taken while it is open'),
    minutes: z.int().min(1).max(10),
    stillOpen: list(word).exactOptional().describe('Ends that may stay open; never a connector'),
    wet: z.boolean().exactOptional(),
  }),
  clear: step('clear', {}),
  unlock: step('unlock', atPoint),
  restore: step('restore', atPoint),
  sign: step('sign', {}),
};

export const stepSchema = z.discriminatedUnion('do', [
  stepSchemas.confirm,
  stepSchemas.tell,
  stepSchemas.wear,
  stepSchemas.photo,
  stepSchemas.find,
  stepSchemas.case,
  stepSchemas.reading,
  stepSchemas.contacts,
  stepSchemas.choose,
  stepSchemas.isolate,
  stepSchemas.lock,
  stepSchemas.release,
  stepSchemas.prove,
  stepSchemas.open,
  stepSchemas.close,
  stepSchemas.disconnect,
  stepSchemas.reseat,
  stepSchemas.window,
  stepSchemas.clear,
  stepSchemas.unlock,
  stepSchemas.restore,
  stepSchemas.sign,
]);

/** What every step has; reads the rest of a step whose kind is unknown. */
export const anyStepSchema = z.looseObject(common);

export const checklistSchema = z
  .strictObject({
    format: z.literal(1),
    id: kebab.describe('The name of the file, without .yaml'),
    title: label,
    revision: z.int().min(1).max(1_000_000),
    issued: date.describe('The day of this revision: 2026-09-14'),
    language: z
      .string()
      .regex(/^[a-z]{2,3}(?:-[A-Za-z0-9]{2,8})*$/)
      .describe('BCP 47: en, es, pt-BR'),
    scope: words(1000).describe('Which machines this is for'),
    defer: words(1000).describe('What comes before this list; shown first and on every report'),
    licensed: words(1000).describe('When to stop, and whom to call'),
    competence: list(word).min(1).describe('What the person must be authorized for'),
    references: named(sentence).describe('Publication and clause, by the word that cites it'),
    barred: list(sentence).describe('What no step may be and no edit may add'),
    sources: named(sourceSchema).describe('Every energy that can hurt, not only the mains'),
    ends: named(endSchema).describe('What may be opened and must be closed again'),
    suspects: named(suspectSchema).exactOptional(),
    steps: z.array(stepSchema).min(1).max(MOST_STEPS),
  })
  .describe('A checklist, format 1');

export type ReadChecklist = z.output<typeof checklistSchema>;

type Frozen<T> = T extends readonly (infer Item)[]
  ? readonly Frozen<Item>[]
  : T extends object
    ? { readonly [Key in keyof T]: Frozen<T[Key]> }
    : T;
// Assignable both ways is not enough: a key that both may lack could have two names.
type Same<A, B> =
  (<T>() => T extends A ? 1 : 2) extends <T>() => T extends B ? 1 : 2 ? true : false;
type Holds<T extends true> = T;

/** Does not compile unless what the schema lets through and the model of it are the same, both ways. */
export type SchemaIsModel = Holds<Same<Frozen<ReadChecklist>, Frozen<Checklist>>>;

/** The JSON Schema for editors, as one JSON document. */
export function checklistJsonSchema(): Record<string, unknown> {
  const schema = z.toJSONSchema(checklistSchema, { target: 'draft-2020-12', reused: 'ref' });
  return { title: 'Checklist, format 1', ...schema };
}
