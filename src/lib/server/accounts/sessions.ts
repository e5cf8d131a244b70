/**
 * Sessions of the office, after OWASP ASVS 5.0 chapter 7, level 2: 256 random bits in a cookie, only a
 * hash in the database, a new one at every sign-in, an end after idleness and an end in any case.
 */
import type { Rows } from '../database/database.ts';
import { freshToken, tokenHash } from '../secrets.ts';
import type { Role } from './roles.ts';

export const IDLE_MS = 30 * 60_000;
export const LONGEST_MS = 12 * 3_600_000;
/** How often at most it is written down that a session was used. */
const USED_EVERY_MS = 60_000;

/** Who is signed in. */
export interface OfficePerson {
  readonly id: string;
  readonly name: string;
  readonly login: string;
  readonly role: Role;
}

/** @returns the token for the cookie, known to nobody else */
export async function beginSession(rows: Rows, account: string, now: number): Promise<string> {
  const token = freshToken();
  await rows
    .insertInto('sessions')
    .values({ token_hash: tokenHash(token), account, made_at: now, used_at: now })
    .execute();
  return token;
}

/** The person whose session this is; null when it ended, or the account was disabled. */
export async function sessionOf(
  rows: Rows,
  token: string,
  now: number,
): Promise<OfficePerson | null> {
  const token_hash = tokenHash(token);
  const found = await rows
    .selectFrom('sessions')
    .innerJoin('accounts', 'accounts.id', 'sessions.account')
    .select(['accounts.id', 'accounts.name', 'accounts.login', 'accounts.role', 'sessions.used_at'])
    .where('sessions.token_hash', '=', token_hash)
    .where('sessions.used_at', '>', now - IDLE_MS)
    .where('sessions.made_at', '>', now - LONGEST_MS)
    .where('accounts.disabled_at', 'is', null)
    .executeTakeFirst();
  if (found === undefined) return null;
  const { used_at, ...person } = found;
  if (now - used_at > USED_EVERY_MS)
    await rows
      .updateTable('sessions')
      .set({ used_at: now })
      .where('token_hash', '=', token_hash)
      .execute();
  return person;
}

export async function endSession(rows: Rows, token: string): Promise<void> {
  await rows.deleteFrom('sessions').where('token_hash', '=', tokenHash(token)).execute();
}

/** Every session of an account: after a new password, another role, or when it is disabled. */
export async function endSessionsOf(rows: Rows, account: string): Promise<void> {
  await rows.deleteFrom('sessions').where('account', '=', account).execute();
}

export async function sweepSessions(rows: Rows, now: number): Promise<void> {
  await rows
    .deleteFrom('sessions')
    .where((is) =>
      is.or([is('used_at', '<=', now - IDLE_MS), is('made_at', '<=', now - LONGEST_MS)]),
    )
    .execute();
}
