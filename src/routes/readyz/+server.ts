import { house } from '#lib/server/house.ts';
import type { RequestHandler } from './$types';

/** Whether this server can take entries in: the database answers and the log is whole. */
export const GET: RequestHandler = async () => {
  const { database, log, logbook } = house();
  const says = (ok: boolean, status: number, waits?: string) =>
    Response.json({ ok, waits }, { status, headers: { 'Cache-Control': 'no-store' } });
  if (log.trouble !== null) return says(false, 503, 'the log needs a look by the operator');
  try {
    await database.answers();
    return says(true, 200);
  } catch (error) {
    logbook.error({ error: String(error) }, 'The database does not answer.');
    return says(false, 503, 'the database does not answer');
  }
};
