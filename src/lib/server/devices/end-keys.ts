/**
 * Keys that end: revoked by the office, or changed for another by who holds both. Each is a leaf of the
 * tree; what arrives after that leaf is kept and marked, what arrived before stays as good as it was.
 */
import {
  base64url,
  checkedKey,
  fromBase64url,
  keyChangeMessage,
  thumbprintOf,
  verifyWithCheckedKey,
} from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered, Refused } from '../refusal.ts';

interface Ground {
  readonly log: OrganisationLog;
  readonly now: () => number;
}

/** @param why one sentence, kept in the tree for ever: no names */
export async function revokeKey(
  { log }: Ground,
  thumbprint: string,
  why: string,
  by: string,
): Promise<Answered<void>> {
  const done = await log.append<Answered<void>>(async (rows, size) => {
    const key = await goodKey(rows, thumbprint);
    if (key === null) return { leaves: [], value: noSuchKey };
    await endKey(rows, thumbprint, size);
    const leaf = await log.actLeaf('key.revoked', { key: thumbprint, why }, by);
    return { leaves: [leaf], value: answered(undefined) };
  });
  if (done.ok) await log.sign();
  return done;
}

/** Ends a device and every key on it, as when a phone is stolen. */
export async function revokeDevice(
  { log, now }: Ground,
  device: string,
  why: string,
  by: string,
): Promise<Answered<void>> {
  const done = await log.append<Answered<void>>(async (rows, size) => {
    const found = await rows
      .selectFrom('devices')
      .select('id')
      .where('id', '=', device)
      .where('revoked_at', 'is', null)
      .executeTakeFirst();
    if (found === undefined)
      return {
        leaves: [],
        value: refused(404, 'no-such-device', 'There is no such device, or it was ended before.'),
      };
    await rows.updateTable('devices').set({ revoked_at: now() }).where('id', '=', device).execute();
    await rows
      .updateTable('keys')
      .set({ until_idx: size })
      .where('device', '=', device)
      .where('until_idx', 'is', null)
      .execute();
    const leaf = await log.actLeaf('device.revoked', { device, why }, by);
    return { leaves: [leaf], value: answered(undefined) };
  });
  if (done.ok) await log.sign();
  return done;
}

export interface KeyChange {
  readonly person: string;
  /** Thumbprint of the key that ends. */
  readonly from: string;
  /** The key that takes its place: 32 bytes, Base 64 without padding. */
  readonly publicKey: string;
  /** Signatures of both over `keyChangeMessage`, Base 64 without padding. */
  readonly oldProof: string;
  readonly newProof: string;
}

/** Everything that was signed with the old key should have been sent before. */
export async function changeKey(
  { log }: Ground,
  change: KeyChange,
  device: string,
): Promise<Answered<{ readonly key: string }>> {
  const publicKey = fromBase64url(change.publicKey) ?? new Uint8Array();
  const checked = checkedKey(publicKey);
  if (!checked.ok) return refused(422, 'bad-key', `${checked.flaw.says} Nothing was changed.`);
  const to = thumbprintOf(publicKey, nodePrimitives);
  const { from, person } = change;
  const message = keyChangeMessage({ from, person, to });
  const proves = async (key: Uint8Array, proof: string) =>
    verifyWithCheckedKey(nodePrimitives, key, message, fromBase64url(proof) ?? new Uint8Array());
  const done = await log.append<Answered<{ key: string }>>(async (rows, size) => {
    const none = (value: Refused) => ({ leaves: [], value });
    const old = await goodKey(rows, from);
    if (old?.person !== person || old.device !== device) return none(noSuchKey);
    if (!(await proves(old.public_key, change.oldProof))) return none(badProof('old'));
    if (!(await proves(publicKey, change.newProof))) return none(badProof('new'));
    const taken = await rows
      .selectFrom('keys')
      .select('person')
      .where('thumbprint', '=', to)
      .executeTakeFirst();
    if (taken !== undefined)
      return none(refused(409, 'known-key', 'The new key is enrolled already.'));
    await endKey(rows, from, size);
    const enrolled_by = old.enrolled_by;
    await rows
      .insertInto('keys')
      .values({
        thumbprint: to,
        public_key: publicKey,
        person,
        device,
        since_idx: size,
        until_idx: null,
        enrolled_by,
      })
      .execute();
    const body = { device, from, key: to, person, publicKey: base64url(publicKey) };
    const leaf = await log.actLeaf('key.changed', body, device);
    return { leaves: [leaf], value: answered({ key: to }) };
  });
  if (done.ok) await log.sign();
  return done;
}

const noSuchKey = refused(
  404,
  'no-such-key',
  'There is no such key, or it was ended before. Nothing was changed.',
);

const badProof = (which: 'old' | 'new'): Refused =>
  refused(
    422,
    'bad-proof',
    `The device did not show that it holds the ${which} key. Nothing was changed.`,
  );

async function goodKey(rows: Rows, thumbprint: string) {
  const found = await rows
    .selectFrom('keys')
    .selectAll()
    .where('thumbprint', '=', thumbprint)
    .where('until_idx', 'is', null)
    .executeTakeFirst();
  return found ?? null;
}

async function endKey(rows: Rows, thumbprint: string, idx: number): Promise<void> {
  await rows
    .updateTable('keys')
    .set({ until_idx: idx })
    .where('thumbprint', '=', thumbprint)
    .execute();
}
