import { house } from '#lib/server/house.ts';
import { jobsFound } from '#lib/server/overview/job-list.ts';
import { jobFilterOf } from '#lib/server/web/job-filter.ts';
import { allowed } from '#lib/server/web/office-request.ts';
import type { PageServerLoad } from './$types';

export const load: PageServerLoad = async ({ locals, url }) => {
  allowed(locals, 'look');
  return jobsFound(house().database.rows, jobFilterOf(url));
};
