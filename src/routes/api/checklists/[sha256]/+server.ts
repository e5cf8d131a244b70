import { keepChecklist, LARGEST_CHECKLIST } from '#lib/server/files/checklist-shelf.ts';
import { house } from '#lib/server/house.ts';
import { refused } from '#lib/server/refusal.ts';
import { readBody } from '#lib/server/web/body.ts';
import { fromDevice } from '#lib/server/web/device-request.ts';
import { refusal, reply } from '#lib/server/web/replies.ts';
import { textOf } from '#lib/core/record/index.ts';
import type { RequestHandler } from './$types';

/** The checklist that a job has pinned, as it was written. */
export const PUT: RequestHandler = ({ request, params }) =>
  fromDevice(request, house(), async () => {
    const body = await readBody(request, LARGEST_CHECKLIST, ['application/yaml']);
    if (!body.ok) return refusal(body);
    const text = textOf(body.value);
    if (text === null) return refusal(refused(422, 'not-utf8', 'The checklist is not UTF-8 text.'));
    const kept = await keepChecklist(house().database.rows, params.sha256, text);
    if (kept.ok) await house().judge.wakeUnjudged();
    return reply(kept);
  });
