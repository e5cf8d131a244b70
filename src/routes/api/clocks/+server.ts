import { endClock, setClock } from '#lib/server/comeback/come-back.ts';
import { readClockEnd, readClockSet } from '#lib/server/devices/requests.ts';
import { house } from '#lib/server/house.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromDevice } from '#lib/server/web/device-request.ts';
import { refusal, reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

/** A come-back clock is set, or set anew. */
export const PUT: RequestHandler = ({ request }) =>
  fromDevice(request, house(), async (device) => {
    const body = await readJson(request);
    if (!body.ok) return refusal(body);
    const read = readClockSet(body.value);
    if (!read.ok) return refusal(read);
    const { database, now } = house();
    return reply(await setClock(database.rows, device.id, read.value, now()));
  });

/** The person is back. */
export const DELETE: RequestHandler = ({ request }) =>
  fromDevice(request, house(), async (device) => {
    const body = await readJson(request);
    if (!body.ok) return refusal(body);
    const read = readClockEnd(body.value);
    if (!read.ok) return refusal(read);
    const { database, now } = house();
    return reply(await endClock(database.rows, device.id, read.value.id, now()));
  });
