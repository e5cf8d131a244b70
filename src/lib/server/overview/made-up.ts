import type { Rows } from '../database/database.ts';

/** Whether jobs of a demonstration are kept here at all. */
export async function madeUpJobs(rows: Rows): Promise<boolean> {
  const found = await rows
    .selectFrom('jobs')
    .select('no')
    .where('demo', '=', 1)
    .where('opened_at', '>', 0)
    .limit(1)
    .executeTakeFirst();
  return found !== undefined;
}
