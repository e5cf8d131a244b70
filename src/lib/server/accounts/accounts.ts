/** Accounts of the office. Every change is a leaf of the tree, with ids and never with names. */
import type { Rows } from '../database/database.ts';
import { actOf, changed } from '../log/change.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { refused } from '../refusal.ts';
import type { Answered, Refused } from '../refusal.ts';
import { freshId } from '../secrets.ts';
import { hashPassword, whyWeak } from './password.ts';
import type { Role } from './roles.ts';
import { endSessionsOf } from './sessions.ts';

export interface AccountGround {
  readonly log: OrganisationLog;
  readonly now: () => number;
}

export interface NewAccount {
  readonly login: string;
  readonly name: string;
  readonly role: Role;
  readonly password: string;
}

const LOGIN = /^[a-z0-9][a-z0-9@._+-]{1,127}$/;

/** @param first only as the very first account, by who holds the token from the console */
export async function makeAccount(
  { log, now }: AccountGround,
  asked: NewAccount,
  by: string,
  first = false,
): Promise<Answered<{ readonly id: string }>> {
  const login = asked.login.trim().toLowerCase();
  const name = asked.name.trim();
  if (!LOGIN.test(login))
    return refused(
      422,
      'bad-login',
      'A sign-in name has small letters, digits and . _ + - @ only.',
    );
  if (name === '' || name.length > 120)
    return refused(422, 'bad-name', 'Give the person a name of at most 120 letters.');
  const weak = whyWeak(asked.password, login);
  if (weak !== null) return refused(422, 'weak-password', weak);
  const password = await hashPassword(asked.password);
  const id = freshId('a');
  return changed(log, async (rows) => {
    if (first && (await anyAccount(rows))) return SET_UP_BEFORE;
    const taken = await rows
      .selectFrom('accounts')
      .select('id')
      .where('login', '=', login)
      .executeTakeFirst();
    if (taken !== undefined)
      return refused(409, 'taken', `The sign-in name ${login} is taken. Choose another.`);
    await rows
      .insertInto('accounts')
      .values({ id, login, name, role: asked.role, password, made_at: now(), disabled_at: null })
      .execute();
    const body = { account: id, role: asked.role };
    return actOf('account.made', body, first ? 'console' : by, { id });
  });
}

export async function changeRole(
  { log }: AccountGround,
  id: string,
  role: Role,
  by: string,
): Promise<Answered<object>> {
  return changed(log, async (rows) => {
    const why = await whyKept(rows, id, role === 'officer');
    if (why !== null) return why;
    await rows.updateTable('accounts').set({ role }).where('id', '=', id).execute();
    await endSessionsOf(rows, id);
    return actOf('account.roleChanged', { account: id, role }, by, {});
  });
}

export async function disableAccount(
  { log, now }: AccountGround,
  id: string,
  by: string,
): Promise<Answered<object>> {
  return changed(log, async (rows) => {
    const why = await whyKept(rows, id, false);
    if (why !== null) return why;
    await rows.updateTable('accounts').set({ disabled_at: now() }).where('id', '=', id).execute();
    await endSessionsOf(rows, id);
    return actOf('account.disabled', { account: id }, by, {});
  });
}

export async function setPassword(
  { log }: AccountGround,
  id: string,
  password: string,
  by: string,
): Promise<Answered<object>> {
  const hash = await hashPassword(password);
  return changed(log, async (rows) => {
    const account = await liveAccount(rows, id);
    if (account === null) return NO_ACCOUNT;
    const weak = whyWeak(password, account.login);
    if (weak !== null) return refused(422, 'weak-password', weak);
    await rows.updateTable('accounts').set({ password: hash }).where('id', '=', id).execute();
    await endSessionsOf(rows, id);
    return actOf('account.passwordSet', { account: id }, by, {});
  });
}

export async function anyAccount(rows: Rows): Promise<boolean> {
  return (await rows.selectFrom('accounts').select('id').executeTakeFirst()) !== undefined;
}

/** The last officer can neither be disabled nor become something else: nobody could undo it. */
async function whyKept(rows: Rows, id: string, staysOfficer: boolean): Promise<Refused | null> {
  const account = await liveAccount(rows, id);
  if (account === null) return NO_ACCOUNT;
  if (account.role !== 'officer' || staysOfficer) return null;
  const other = await rows
    .selectFrom('accounts')
    .select('id')
    .where('role', '=', 'officer')
    .where('disabled_at', 'is', null)
    .where('id', '!=', id)
    .executeTakeFirst();
  if (other !== undefined) return null;
  return refused(409, 'last-officer', 'This is the last officer. Make another one first.');
}

async function liveAccount(rows: Rows, id: string) {
  const found = await rows
    .selectFrom('accounts')
    .select(['login', 'role'])
    .where('id', '=', id)
    .where('disabled_at', 'is', null)
    .executeTakeFirst();
  return found ?? null;
}

const NO_ACCOUNT = refused(404, 'no-account', 'There is no such account, or it was disabled.');
const SET_UP_BEFORE = refused(409, 'set-up-before', 'The office was set up before. Sign in.');
