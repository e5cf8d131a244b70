import { enrolDevice } from '#lib/server/devices/enrol-device.ts';
import { readEnrolment } from '#lib/server/devices/requests.ts';
import { house } from '#lib/server/house.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromStranger } from '#lib/server/web/device-request.ts';
import { refusal, reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

/** A new device comes in with a code from the office. */
export const POST: RequestHandler = ({ request, getClientAddress }) =>
  fromStranger(house(), getClientAddress(), async () => {
    const body = await readJson(request);
    if (!body.ok) return refusal(body);
    const read = readEnrolment(body.value);
    if (!read.ok) return refusal(read);
    return reply(await enrolDevice(house(), read.value, null), 201);
  });
