import { enrolDevice } from '#lib/server/devices/enrol-device.ts';
import { readEnrolment } from '#lib/server/devices/requests.ts';
import { house } from '#lib/server/house.ts';
import { refused } from '#lib/server/refusal.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromDevice } from '#lib/server/web/device-request.ts';
import { refusal, reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

/** A known device brings the keys of more people, with a code from the office. */
export const POST: RequestHandler = ({ request }) =>
  fromDevice(request, house(), async (device) => {
    if (device.revoked)
      return refusal(refused(403, 'device-ended', 'The office has ended this device.'));
    const body = await readJson(request);
    if (!body.ok) return refusal(body);
    const read = readEnrolment(body.value);
    if (!read.ok) return refusal(read);
    return reply(await enrolDevice(house(), read.value, device.id), 201);
  });
