/**
 * A device comes in with a code: it and the keys of its people become known, each as a leaf of the
 * tree. From that leaf on, and never by any clock, the keys are good.
 */
import {
  base64url,
  checkedKey,
  enrolmentMessage,
  fromBase64url,
  thumbprintOf,
  verifyWithCheckedKey,
} from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Database, Writing } from '../database/database.ts';
import type { EnrolmentTable } from '../database/tables.ts';
import type { NewLeaf, OrganisationLog } from '../log/organisation-log.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';
import { freshId, freshToken, plainCode, tokenHash } from '../secrets.ts';

export interface EnrolmentRequest {
  /** As it was typed or scanned. */
  readonly code: string;
  readonly keys: readonly KeyRequest[];
}

export interface KeyRequest {
  readonly person: string;
  /** For people who are new here. */
  readonly name: string;
  /** 32 bytes, Base 64 without padding. */
  readonly publicKey: string;
  /** Signature of the key over `enrolmentMessage`, Base 64 without padding. */
  readonly proof: string;
}

export interface Enrolled {
  readonly device: string;
  /** Sent with every request from now on; known to nobody else. Absent when the device has one. */
  readonly token?: string;
}

interface CheckedKey {
  readonly person: string;
  readonly name: string;
  readonly publicKey: Uint8Array;
  readonly thumbprint: string;
}

const MOST_KEYS = 20;
/** As the entries of a record have it. */
const NAME_IN_ENTRY = /^[^\p{Cc}\u2028\u2029]{1,128}$/u;
const WRONG_CODE = refused(
  403,
  'wrong-code',
  'This code is not good: it was mistyped, used already, or has run out. Nothing was enrolled. Ask the office for a new one.',
);

interface Ground {
  readonly database: Database;
  readonly log: OrganisationLog;
  readonly now: () => number;
}

/** @param present the device, when it is one that is known and only brings more keys */
export async function enrolDevice(
  { log, now }: Ground,
  request: EnrolmentRequest,
  present: string | null,
): Promise<Answered<Enrolled>> {
  const code = plainCode(request.code);
  if (code === null) return WRONG_CODE;
  const keys = await checkedKeys(code, request.keys);
  if (!keys.ok) return keys;
  const token = freshToken();
  const device = present ?? freshId('d');
  const done = await log.append<Answered<Enrolled>>(async (rows, size) => {
    const found = await goodCode(rows, code, now());
    const why = found === null ? WRONG_CODE : await whyNot(rows, found, keys.value);
    if (found === null || why !== null) return { leaves: [], value: why ?? WRONG_CODE };
    const leaves: NewLeaf[] = [];
    if (present === null) {
      await addDevice(rows, { device, token, enrolment: found, at: now() });
      leaves.push(await log.actLeaf('device.enrolled', { device }, found.made_by));
    }
    for (const key of keys.value) {
      await addKey(rows, key, { device, by: found.made_by, idx: size + leaves.length, at: now() });
      const { person, thumbprint, publicKey } = key;
      const body = { device, key: thumbprint, person, publicKey: base64url(publicKey) };
      leaves.push(await log.actLeaf('key.enrolled', body, found.made_by));
    }
    await rows
      .updateTable('enrolments')
      .set({ used_at: now() })
      .where('code_hash', '=', found.code_hash)
      .execute();
    return { leaves, value: answered(present === null ? { device, token } : { device }) };
  });
  if (done.ok) await log.sign();
  return done;
}

async function checkedKeys(
  code: string,
  requests: readonly KeyRequest[],
): Promise<Answered<CheckedKey[]>> {
  if (requests.length === 0 || requests.length > MOST_KEYS)
    return refused(422, 'bad-key', `Between 1 and ${MOST_KEYS} keys are enrolled at once.`);
  const keys: CheckedKey[] = [];
  for (const { person, name, publicKey: text, proof } of requests) {
    if (!NAME_IN_ENTRY.test(person))
      return refused(422, 'bad-person', 'The id of a person is one line of at most 128 letters.');
    const publicKey = fromBase64url(text) ?? new Uint8Array();
    const checked = checkedKey(publicKey);
    if (!checked.ok) return refused(422, 'bad-key', `${checked.flaw.says} Nothing was enrolled.`);
    const thumbprint = thumbprintOf(publicKey, nodePrimitives);
    const message = enrolmentMessage({ code, key: thumbprint, person });
    const signature = fromBase64url(proof) ?? new Uint8Array();
    if (!(await verifyWithCheckedKey(nodePrimitives, publicKey, message, signature)))
      return refused(
        422,
        'bad-proof',
        `The device did not show that it holds the key of “${person}”. Nothing was enrolled.`,
      );
    keys.push({ person, name: name.trim(), publicKey, thumbprint });
  }
  return answered(keys);
}

async function goodCode(rows: Writing, code: string, now: number): Promise<EnrolmentTable | null> {
  const found = await rows
    .selectFrom('enrolments')
    .selectAll()
    .where('code_hash', '=', tokenHash(code))
    .where('used_at', 'is', null)
    .where('ends_at', '>', now)
    .executeTakeFirst();
  return found ?? null;
}

/** The code names its people; others only when it says so and they are nobody known. */
async function whyNot(
  rows: Writing,
  enrolment: EnrolmentTable,
  keys: readonly CheckedKey[],
): Promise<Answered<never> | null> {
  const named = JSON.parse(enrolment.people) as string[];
  const others = keys.filter(({ person }) => !named.includes(person));
  const ids = others.map(({ person }) => person);
  const known =
    ids.length === 0
      ? []
      : await rows.selectFrom('people').select('id').where('id', 'in', ids).execute();
  const barred = others.find(
    ({ person }) => enrolment.newcomers === 0 || known.some(({ id }) => id === person),
  );
  if (barred !== undefined)
    return refused(
      403,
      'not-named',
      `The code was not made for “${barred.person}”. Nothing was enrolled. Ask the office for a code that names them.`,
    );
  if (others.some(({ name }) => name === '' || name.length > 120))
    return refused(422, 'bad-person', 'Somebody new needs a name of at most 120 letters.');
  const taken = await rows
    .selectFrom('keys')
    .select('person')
    .where(
      'thumbprint',
      'in',
      keys.map(({ thumbprint }) => thumbprint),
    )
    .executeTakeFirst();
  if (taken === undefined && new Set(keys.map((key) => key.thumbprint)).size === keys.length)
    return null;
  return refused(409, 'known-key', 'One of these keys is enrolled already. Nothing was enrolled.');
}

async function addDevice(
  rows: Writing,
  made: {
    readonly device: string;
    readonly token: string;
    readonly enrolment: EnrolmentTable;
    readonly at: number;
  },
): Promise<void> {
  await rows
    .insertInto('devices')
    .values({
      id: made.device,
      label: made.enrolment.label,
      token_hash: tokenHash(made.token),
      enrolled_at: made.at,
      enrolled_by: made.enrolment.made_by,
      revoked_at: null,
      seen_at: made.at,
    })
    .execute();
}

async function addKey(
  rows: Writing,
  key: CheckedKey,
  at: { readonly device: string; readonly by: string; readonly idx: number; readonly at: number },
): Promise<void> {
  await rows
    .insertInto('people')
    .values({ id: key.person, name: key.name, made_at: at.at })
    .onConflict((on) => on.column('id').doNothing())
    .execute();
  await rows
    .insertInto('keys')
    .values({
      thumbprint: key.thumbprint,
      public_key: key.publicKey,
      person: key.person,
      device: at.device,
      since_idx: at.idx,
      until_idx: null,
      enrolled_by: at.by,
    })
    .execute();
}
