import { redirect } from '@sveltejs/kit';
import { resolve } from '$app/paths';
import { endSession } from '#lib/server/accounts/sessions.ts';
import { signIn } from '#lib/server/accounts/sign-in.ts';
import { house, setUpWaits } from '#lib/server/house.ts';
import { dropOfficeToken, officeToken, setOfficeToken } from '#lib/server/web/office-cookie.ts';
import { said, textIn } from '#lib/server/web/office-request.ts';
import type { Actions, PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals }) => {
  if (locals.office !== null) redirect(303, resolve('/office'));
  if (await setUpWaits(house())) redirect(303, resolve('/office/set-up'));
};

export const actions: Actions = {
  in: async ({ request, cookies, url, getClientAddress }) => {
    const { database, now } = house();
    const form = await request.formData();
    const asked = {
      login: textIn(form, 'login'),
      password: textIn(form, 'password'),
      from: getClientAddress(),
    };
    const answer = await signIn(database.rows, asked, now());
    if (!answer.ok) return said(answer);
    // A session that the browser came with is not gone on with.
    const old = officeToken(cookies, url);
    if (old !== null) await endSession(database.rows, old);
    setOfficeToken(cookies, url, answer.value.token);
    redirect(303, resolve('/office'));
  },
  out: async ({ cookies, url }) => {
    const token = officeToken(cookies, url);
    if (token !== null) await endSession(house().database.rows, token);
    dropOfficeToken(cookies, url);
    redirect(303, resolve('/office/sign-in'));
  },
};
