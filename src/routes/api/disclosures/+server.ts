import { readDisclosures } from '#lib/server/devices/requests.ts';
import { keepDisclosures } from '#lib/server/files/disclosure-shelf.ts';
import { house } from '#lib/server/house.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromDevice } from '#lib/server/web/device-request.ts';
import { refusal, reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

const LARGEST = 1024 * 1024;

/** Private values of a job, kept while they fit a digest in its entries and were not erased. */
export const POST: RequestHandler = ({ request }) =>
  fromDevice(request, house(), async () => {
    const body = await readJson(request, LARGEST);
    if (!body.ok) return refusal(body);
    const read = readDisclosures(body.value);
    if (!read.ok) return refusal(read);
    const { job, disclosures } = read.value;
    return reply(await keepDisclosures(house().database, job, disclosures));
  });
