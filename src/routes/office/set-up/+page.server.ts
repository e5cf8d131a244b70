import { fail, redirect } from '@sveltejs/kit';
import { resolve } from '$app/paths';
import { beginSession } from '#lib/server/accounts/sessions.ts';
import { house, setUpWaits } from '#lib/server/house.ts';
import { setOfficeToken } from '#lib/server/web/office-cookie.ts';
import { said, textIn } from '#lib/server/web/office-request.ts';
import type { Actions, PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals }) => {
  if (locals.office !== null || !(await setUpWaits(house()))) redirect(303, resolve('/office'));
};

export const actions: Actions = {
  default: async ({ request, cookies, url }) => {
    const { setUp, database, now } = house();
    if (setUp === null) return fail(409, { says: 'The office was set up before. Sign in.' });
    const form = await request.formData();
    const account = {
      login: textIn(form, 'login'),
      name: textIn(form, 'name'),
      password: textIn(form, 'password'),
    };
    const made = await setUp.make(house(), textIn(form, 'code'), account);
    if (!made.ok) return said(made);
    setOfficeToken(cookies, url, await beginSession(database.rows, made.value.id, now()));
    redirect(303, resolve('/office/devices'));
  },
};
