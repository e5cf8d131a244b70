import {
  changeRole,
  disableAccount,
  makeAccount,
  setPassword,
} from '#lib/server/accounts/accounts.ts';
import { removePasskey } from '#lib/server/accounts/passkeys.ts';
import { isRole, may, ROLES } from '#lib/server/accounts/roles.ts';
import { beginSession } from '#lib/server/accounts/sessions.ts';
import { house } from '#lib/server/house.ts';
import { refused } from '#lib/server/refusal.ts';
import { setOfficeToken } from '#lib/server/web/office-cookie.ts';
import { allowed, said, textIn } from '#lib/server/web/office-request.ts';
import type { Actions, PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals }) => {
  const person = allowed(locals, 'look');
  const { rows } = house().database;
  const mayManage = may(person.role, 'accounts');
  const accounts = mayManage
    ? await rows
        .selectFrom('accounts')
        .select(['id', 'login', 'name', 'role', 'disabled_at'])
        .orderBy('name')
        .execute()
    : [];
  const passkeys = await rows
    .selectFrom('passkeys')
    .select(['id', 'label', 'made_at'])
    .where('account', '=', person.id)
    .orderBy('made_at')
    .execute();
  return { accounts, passkeys, roles: ROLES, self: person.id };
};

const NO_ROLE = refused(422, 'bad-role', `The roles are ${ROLES.join(', ')}.`);

export const actions: Actions = {
  make: async ({ request, locals }) => {
    const by = allowed(locals, 'accounts');
    const form = await request.formData();
    const role = textIn(form, 'role');
    if (!isRole(role)) return said(NO_ROLE);
    const [login, name] = [textIn(form, 'login'), textIn(form, 'name')];
    const asked = { login, name, role, password: textIn(form, 'password') };
    const made = await makeAccount(house(), asked, by.id);
    return made.ok ? {} : said(made);
  },
  role: async ({ request, locals }) => {
    const by = allowed(locals, 'accounts');
    const form = await request.formData();
    const role = textIn(form, 'role');
    if (!isRole(role)) return said(NO_ROLE);
    const changed = await changeRole(house(), textIn(form, 'account'), role, by.id);
    return changed.ok ? {} : said(changed);
  },
  disable: async ({ request, locals }) => {
    const by = allowed(locals, 'accounts');
    const account = textIn(await request.formData(), 'account');
    const disabled = await disableAccount(house(), account, by.id);
    return disabled.ok ? {} : said(disabled);
  },
  password: async ({ request, locals, cookies, url }) => {
    const { id } = allowed(locals, 'look');
    const password = textIn(await request.formData(), 'password');
    const set = await setPassword(house(), id, password, id);
    if (!set.ok) return said(set);
    // Every session of the account has ended with it; this one begins anew.
    const { database, now } = house();
    setOfficeToken(cookies, url, await beginSession(database.rows, id, now()));
    return {};
  },
  dropPasskey: async ({ request, locals }) => {
    const person = allowed(locals, 'look');
    const id = textIn(await request.formData(), 'passkey');
    const removed = await removePasskey(house(), person, id);
    return removed.ok ? {} : said(removed);
  },
};
