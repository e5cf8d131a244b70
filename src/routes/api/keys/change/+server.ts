import { changeKey } from '#lib/server/devices/end-keys.ts';
import { readKeyChange } from '#lib/server/devices/requests.ts';
import { house } from '#lib/server/house.ts';
import { refused } from '#lib/server/refusal.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromDevice } from '#lib/server/web/device-request.ts';
import { refusal, reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

/** One key takes the place of another; the device shows that it holds both. */
export const POST: RequestHandler = ({ request }) =>
  fromDevice(request, house(), async (device) => {
    if (device.revoked)
      return refusal(refused(403, 'device-ended', 'The office has ended this device.'));
    const body = await readJson(request);
    if (!body.ok) return refusal(body);
    const read = readKeyChange(body.value);
    if (!read.ok) return refusal(read);
    return reply(await changeKey(house(), read.value, device.id));
  });
