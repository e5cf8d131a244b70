import { hex } from '#lib/core/record/index.ts';
import { readJobList } from '#lib/server/devices/requests.ts';
import { house } from '#lib/server/house.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromDevice } from '#lib/server/web/device-request.ts';
import { refusal, reply } from '#lib/server/web/replies.ts';
import { answered } from '#lib/server/refusal.ts';
import type { RequestHandler } from './$types';

/** How far the server has these jobs: how many entries, and the hash of the last. */
export const POST: RequestHandler = ({ request }) =>
  fromDevice(request, house(), async () => {
    const body = await readJson(request);
    if (!body.ok) return refusal(body);
    const read = readJobList(body.value);
    if (!read.ok) return refusal(read);
    const { jobs } = read.value;
    const found =
      jobs.length === 0
        ? []
        : await house()
            .database.rows.selectFrom('jobs')
            .select(['job', 'count', 'head', 'forked'])
            .where('job', 'in', jobs)
            .execute();
    const heads = found.map(({ job, count, head, forked }) => ({
      job,
      count,
      head: hex(head),
      forked: forked === 1,
    }));
    return reply(answered({ heads }));
  });
