import { redirect } from '@sveltejs/kit';
import { resolve } from '$app/paths';
import { house, setUpWaits } from '#lib/server/house.ts';
import type { PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals }) => {
  if (locals.office !== null) redirect(303, resolve('/office/now'));
  redirect(303, resolve((await setUpWaits(house())) ? '/office/set-up' : '/office/sign-in'));
};
