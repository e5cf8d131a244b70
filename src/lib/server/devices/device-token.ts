/** Which device a request comes from, by the token that it was given when it was enrolled. */
import type { Rows } from '../database/database.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';
import { tokenHash } from '../secrets.ts';

export interface KnownDevice {
  readonly id: string;
  /** Ended by the office: what it sends is kept and marked, and it gets nothing else. */
  readonly revoked: boolean;
}

/** How often at most it is written down that a device was heard. */
const SEEN_EVERY_MS = 60_000;

export async function deviceOf(
  rows: Rows,
  authorization: string | null,
  now: number,
): Promise<Answered<KnownDevice>> {
  const token = /^Bearer ([A-Za-z0-9_-]{43})$/.exec(authorization ?? '')?.[1];
  const found =
    token === undefined
      ? undefined
      : await rows
          .selectFrom('devices')
          .select(['id', 'revoked_at', 'seen_at'])
          .where('token_hash', '=', tokenHash(token))
          .executeTakeFirst();
  if (found === undefined)
    return refused(
      401,
      'unknown-device',
      'This device is not known here. What it recorded stays on it. Enrol it with a code from the office.',
    );
  if (now - found.seen_at > SEEN_EVERY_MS)
    await rows.updateTable('devices').set({ seen_at: now }).where('id', '=', found.id).execute();
  return answered({ id: found.id, revoked: found.revoked_at !== null });
}
