/** Signing in with name and password: one sentence for whatever is wrong, and the same time for it. */
import type { Rows } from '../database/database.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';
import { lookInVain, passwordFits } from './password.ts';
import { beginSession } from './sessions.ts';
import { countTry, forgetTries, limitsOf } from './tries.ts';

export interface SignIn {
  readonly login: string;
  readonly password: string;
  /** Address that the request comes from; only counted. */
  readonly from: string;
}

const WRONG = refused(
  403,
  'wrong-sign-in',
  'Name and password do not belong together. Check both, or use a passkey.',
);

export async function signIn(
  rows: Rows,
  { login: typed, password, from }: SignIn,
  now: number,
): Promise<Answered<{ readonly token: string; readonly account: string }>> {
  const login = typed.trim().toLowerCase().slice(0, 200);
  const limits = limitsOf(login, from);
  const wait = await countTry(rows, limits, now);
  if (wait !== null)
    return refused(
      429,
      'too-many',
      `Too many tries. Wait ${Math.ceil(wait / 60)} minutes, or use a passkey.`,
    );
  const account = await rows
    .selectFrom('accounts')
    .select(['id', 'password'])
    .where('login', '=', login)
    .where('disabled_at', 'is', null)
    .executeTakeFirst();
  if (account === undefined || account.password === null || password.length > 1024) {
    await lookInVain(password.slice(0, 1024));
    return WRONG;
  }
  if (!(await passwordFits(password, account.password))) return WRONG;
  await forgetTries(rows, limits);
  return answered({ token: await beginSession(rows, account.id, now), account: account.id });
}
