/**
 * The bodies of entries, by type: closed shapes, so that what this program does not know is refused
 * rather than passed over, and everything after this may lean on the types of `job/events`.
 */
import { z } from 'zod';
import { LAPSES } from '../checklist/model.ts';
import type { EventBodies, EventType, JobEvent } from '../job/events.ts';
import { REFUSAL_CODES } from '../job/refusal.ts';
import type { Entry } from '../record/entry.ts';
import { flawed, good } from '../record/outcome.ts';
import type { Outcome } from '../record/outcome.ts';
import { fitting } from './fits.ts';

const text = z.string();
const texts = z.array(text);
const count = z.int().min(0);
const DIGEST = /^[0-9a-f]{64}$/;
const digest = z.string().regex(DIGEST);
const maybe = <T extends z.ZodType>(of: T) => of.exactOptional();

const shown = z.strictObject({ value: text, unit: text });
const meterCheck = z.strictObject({ expected: text, shown: text, unit: text });
const left = z.array(z.strictObject({ end: text, insulated: z.boolean(), why: text }));
const pin = z.strictObject({ photo: digest, x: count, y: count });
const connector = z.strictObject({
  id: text,
  label: text,
  terminal: text,
  wire: maybe(text),
  pin: maybe(pin),
});

const result = z.strictObject({
  photos: maybe(z.array(digest)),
  sources: maybe(count),
  option: maybe(text),
  operated: maybe(text),
  lock: maybe(text),
  tag: maybe(text),
  measure: maybe(text),
  value: maybe(text),
  unit: maybe(text),
  instrument: maybe(text),
  pairs: maybe(z.record(text, shown)),
  before: maybe(meterCheck),
  after: maybe(meterCheck),
  rest: maybe(text),
  pressed: maybe(text),
  connectors: maybe(z.array(connector)),
  connector: maybe(text),
  people: maybe(texts),
  tools: maybe(count),
  language: maybe(text),
  told: maybe(texts),
  directory: maybe(text),
  position: maybe(text),
  verdict: maybe(text),
  low: maybe(text),
  high: maybe(text),
  says: maybe(text),
});

const person = z.strictObject({ id: text, competence: texts });
const hand = z.discriminatedUnion('by', [
  z.strictObject({ by: z.literal('pin') }),
  z.strictObject({ by: z.literal('code'), own: text, nonce: text, until: text, signature: text }),
]);
const instrument = z.strictObject({
  id: text,
  category: text,
  volts: text,
  due: text,
  percent: text,
  counts: count,
  ranges: maybe(z.array(z.strictObject({ upTo: text, one: text, percent: text, counts: count }))),
});
const manifest = z.strictObject({
  entries: count,
  head: digest,
  keys: texts,
  photos: z.array(digest),
});

/** By type of entry; the shapes that say what is wrong. */
export const BODIES = {
  'job.opened': z.strictObject({
    checklist: z.strictObject({ id: text, revision: count, sha256: digest }),
    people: z.array(person),
    instruments: z.array(instrument),
    demo: z.boolean(),
    previous: maybe(z.strictObject({ job: text, head: digest })),
  }),
  'person.joined': z.strictObject({ person: text, competence: texts, hand: maybe(hand) }),
  'person.left': z.strictObject({ person: text, locks: texts }),
  'caution.read': z.strictObject({ step: text }),
  'step.done': z.strictObject({
    step: text,
    result,
    acted: maybe(text),
    part: maybe(z.boolean()),
  }),
  'step.notDone': z.strictObject({ step: text, why: text, applies: z.boolean() }),
  'step.corrected': z.strictObject({ step: text, why: text }),
  'try.refused': z.strictObject({
    command: text,
    step: maybe(text),
    codes: z.array(z.enum(REFUSAL_CODES)),
    says: texts,
    result: maybe(result),
    live: maybe(text),
    caseLive: maybe(text),
    doubt: maybe(text),
  }),
  'fact.lapsed': z.strictObject({
    what: z.enum(LAPSES),
    source: maybe(text),
    instrument: maybe(text),
    minutes: maybe(count),
    cause: maybe(z.enum(['told', 'clock', 'restart'])),
    steps: texts,
  }),
  'window.opened': z.strictObject({
    step: text,
    source: text,
    reason: text,
    readBack: text,
    minutes: count,
  }),
  'window.closed': z.strictObject({ source: text, unexpected: z.boolean() }),
  'job.parked': z.strictObject({
    as: z.enum(['usable', 'shut']),
    until: text,
    left,
    lock: maybe(text),
  }),
  'job.resumed': z.strictObject({}),
  'job.handedOver': z.strictObject({
    from: text,
    to: text,
    lock: maybe(text),
    walked: maybe(texts),
  }),
  'job.rebased': z.strictObject({
    checklist: z.strictObject({ id: text, revision: count, sha256: digest }),
    edits: z.array(z.strictObject({ at: z.array(text).min(1).max(12), to: maybe(z.json()) })),
    why: text,
  }),
  'lock.removedFor': z.strictObject({
    lock: text,
    owner: text,
    away: text,
    tried: texts,
    informed: text,
    authorizedBy: text,
    photos: maybe(z.array(digest)),
  }),
  tingle: z.strictObject({ what: text }),
  nearMiss: z.strictObject({ what: text }),
  'tools.down': z.strictObject({ why: text }),
  'job.refused': z.strictObject({ why: text, left }),
  'evidence.held': z.strictObject({ why: text }),
  'clock.noted': z.strictObject({
    what: z.enum(['wallBack', 'wallAhead', 'restart', 'office']),
    seconds: z.int(),
  }),
  'program.noted': z.strictObject({ what: text }),
  'disclosure.erased': z.strictObject({ digest: text, why: text }),
  'key.rotated': z.strictObject({ person: text, key: text }),
  'job.closed': z.strictObject({ openEnds: texts, manifest: maybe(manifest) }),
  amended: z.strictObject({
    about: text,
    text,
    acted: maybe(text),
    photos: maybe(z.array(digest)),
  }),
} satisfies { readonly [T in EventType]: z.ZodType<EventBodies[T]> };

const OWN = new Map<z.core.$ZodType, (value: unknown) => boolean>([
  [count, (value) => Number.isSafeInteger(value) && (value as number) >= 0],
  [digest, (value) => typeof value === 'string' && DIGEST.test(value)],
]);
const FITS = Object.fromEntries(
  Object.entries(BODIES).map(([type, shape]) => [type, fitting(shape, OWN)]),
) as Readonly<Record<EventType, (value: unknown) => boolean>>;

/** Does a body fit its type? The same answer as that of its shape, many times as fast. */
export const bodyFits = (type: EventType, body: unknown): boolean => FITS[type](body);

/** The event of an entry, its body checked: every field known, of its type, and none missing. */
export function eventOf(entry: Entry): Outcome<JobEvent> {
  const { type, body, at, mono, boot, by } = entry;
  const event = { type, body, at, mono, boot, by } as unknown as JobEvent;
  if (bodyFits(type, body)) return good(event);
  const read = BODIES[type].safeParse(body);
  if (read.success) return good(event);
  const issue = read.error.issues[0];
  const path = ['body', ...(issue?.path ?? [])].join('.');
  return flawed(
    'bad-field',
    `“${path}” of this “${type}” entry is not as this format has it: ${issue?.message ?? 'unknown'}.`,
  );
}
