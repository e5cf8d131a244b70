import { jobHeads } from '#lib/server/devices/job-heads.ts';
import { readJobList } from '#lib/server/devices/requests.ts';
import { house } from '#lib/server/house.ts';
import { answered } from '#lib/server/refusal.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromDevice } from '#lib/server/web/device-request.ts';
import { refusal, reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

/** How far the server has these jobs, and what of them it still misses. */
export const POST: RequestHandler = ({ request }) =>
  fromDevice(request, house(), async () => {
    const body = await readJson(request);
    if (!body.ok) return refusal(body);
    const read = readJobList(body.value);
    if (!read.ok) return refusal(read);
    return reply(answered({ heads: await jobHeads(house().database.rows, read.value.jobs) }));
  });
