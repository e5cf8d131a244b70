import { house } from '#lib/server/house.ts';
import { lastCheckpoint } from '#lib/server/log/organisation-log.ts';
import { plainText } from '#lib/server/web/replies.ts';
import { error } from '@sveltejs/kit';
import type { RequestHandler } from './$types';

/** The newest checkpoint, a signed note (c2sp.org/tlog-checkpoint). */
export const GET: RequestHandler = async () => {
  const last = await lastCheckpoint(house().database.rows);
  if (last === null) error(404, 'Nothing was signed yet.');
  return plainText(last.note);
};
