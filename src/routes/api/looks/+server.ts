import { readLookAnswer } from '#lib/server/devices/requests.ts';
import { house } from '#lib/server/house.ts';
import { answerFromDevice, questionsFor } from '#lib/server/looks/device-answers.ts';
import { answered, refused } from '#lib/server/refusal.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromDevice } from '#lib/server/web/device-request.ts';
import { refusal, reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

const ENDED = refused(403, 'device-ended', 'The office has ended this device.');

/** What the people of this device are asked. */
export const GET: RequestHandler = ({ request }) =>
  fromDevice(request, house(), async ({ id, revoked }) => {
    if (revoked) return refusal(ENDED);
    return reply(answered({ questions: await questionsFor(house().database.rows, id) }));
  });

/** One of them answers. */
export const POST: RequestHandler = ({ request }) =>
  fromDevice(request, house(), async ({ id, revoked }) => {
    if (revoked) return refusal(ENDED);
    const body = await readJson(request);
    if (!body.ok) return refusal(body);
    const read = readLookAnswer(body.value);
    return read.ok ? reply(await answerFromDevice(house(), read.value, id)) : refusal(read);
  });
