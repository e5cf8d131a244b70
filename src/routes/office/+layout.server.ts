import { may } from '#lib/server/accounts/roles.ts';
import { house } from '#lib/server/house.ts';
import { madeUpJobs } from '#lib/server/overview/made-up.ts';
import type { LayoutServerLoad } from './$types';

export const load: LayoutServerLoad = async ({ locals }) => ({
  person: locals.office && { name: locals.office.name, role: locals.office.role },
  mayManage: locals.office !== null && may(locals.office.role, 'accounts'),
  madeUp: locals.office !== null && (await madeUpJobs(house().database.rows)),
});
