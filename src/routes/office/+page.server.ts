import { redirect } from '@sveltejs/kit';
import { house, setUpWaits } from '#lib/server/house.ts';
import type { PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals }) => {
  if (locals.office !== null) redirect(303, '/office/clocks');
  redirect(303, (await setUpWaits(house())) ? '/office/set-up' : '/office/sign-in');
};
