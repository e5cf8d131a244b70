import { lookAtCode } from '#lib/server/devices/look-at-code.ts';
import { readCode } from '#lib/server/devices/requests.ts';
import { house } from '#lib/server/house.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromStranger } from '#lib/server/web/device-request.ts';
import { refusal, reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

/** What a code is for. A question in a body, so that no log of addresses holds the code. */
export const POST: RequestHandler = ({ request, getClientAddress }) =>
  fromStranger(house(), getClientAddress(), async () => {
    const body = await readJson(request);
    if (!body.ok) return refusal(body);
    const read = readCode(body.value);
    if (!read.ok) return refusal(read);
    const { database, now } = house();
    return reply(await lookAtCode(database.rows, read.value.code, now()));
  });
