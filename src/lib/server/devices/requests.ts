/** The bodies that devices send about themselves, read strictly. */
import { z } from 'zod';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';
import type { ClockSet } from '../comeback/come-back.ts';
import type { EnrolmentRequest } from './enrol-device.ts';
import type { LookAnswer } from '../looks/device-answers.ts';
import type { KeyChange } from './end-keys.ts';

const base64 = z.string().regex(/^[A-Za-z0-9_-]{1,200}$/);

const enrolment = z.strictObject({
  code: z.string().max(64),
  keys: z
    .array(
      z.strictObject({
        person: z.string().max(128),
        name: z.string().max(120),
        publicKey: base64,
        proof: base64,
      }),
    )
    .max(20),
});

const code = z.strictObject({ code: z.string().max(64) });

const keyChange = z.strictObject({
  person: z.string().max(128),
  from: base64,
  publicKey: base64,
  oldProof: base64,
  newProof: base64,
});

const jobList = z.strictObject({ jobs: z.array(z.uuid()).max(500) });

const disclosures = z.strictObject({
  job: z.uuid(),
  disclosures: z
    .array(
      z.strictObject({
        seq: z.int().min(0).max(100_000),
        disclosure: z.string().regex(/^[A-Za-z0-9_-]{1,100000}$/),
      }),
    )
    .max(500),
});

const clockSet = z.strictObject({
  id: z.uuid(),
  person: z.string().max(128),
  job: z.nullable(z.uuid()),
  place: z.string().max(200),
  minutes: z
    .int()
    .min(1)
    .max(24 * 60),
});

const lookAnswer = z.strictObject({
  look: z.int().min(1),
  person: z.string().max(128),
  key: base64,
  words: z.string().regex(/^[A-Za-z0-9_-]{1,20000}$/),
  proof: base64,
});

const clockEnd = z.strictObject({ id: z.uuid() });

export const readClockSet = (value: unknown): Answered<ClockSet> => read(clockSet, value);
export const readClockEnd = (value: unknown): Answered<{ readonly id: string }> =>
  read(clockEnd, value);
export const readLookAnswer = (value: unknown): Answered<LookAnswer> => read(lookAnswer, value);
export const readEnrolment = (value: unknown): Answered<EnrolmentRequest> => read(enrolment, value);
export const readCode = (value: unknown): Answered<{ readonly code: string }> => read(code, value);
export const readKeyChange = (value: unknown): Answered<KeyChange> => read(keyChange, value);
export const readJobList = (value: unknown): Answered<{ readonly jobs: readonly string[] }> =>
  read(jobList, value);
export const readDisclosures = (value: unknown): Answered<z.infer<typeof disclosures>> =>
  read(disclosures, value);

function read<T>(schema: z.ZodType<T>, value: unknown): Answered<T> {
  const parsed = schema.safeParse(value);
  if (parsed.success) return answered(parsed.data);
  const [issue] = parsed.error.issues;
  const where = issue === undefined || issue.path.length === 0 ? 'It' : `“${issue.path.join('.')}”`;
  return refused(
    422,
    'bad-request',
    `${where} is not as it should be: ${issue?.message ?? 'unknown'}. Nothing was stored.`,
  );
}
