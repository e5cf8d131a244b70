import { house } from '#lib/server/house.ts';
import { LARGEST_BATCH, readBatch } from '#lib/server/ingest/batch.ts';
import { refused } from '#lib/server/refusal.ts';
import { readBody } from '#lib/server/web/body.ts';
import { fromDevice } from '#lib/server/web/device-request.ts';
import { refusal } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

/** A batch of sealed entries, one a line; each is answered for itself, with its receipt. */
export const POST: RequestHandler = ({ request }) =>
  fromDevice(request, house(), async (device) => {
    const body = await readBody(request, LARGEST_BATCH, ['application/x-ndjson']);
    if (!body.ok) return refusal(body);
    const batch = readBatch(body.value);
    if (!batch.ok) {
      const status = batch.code === 'too-large' ? 413 : 400;
      return refusal(refused(status, batch.code, batch.says));
    }
    const answer = await house().ingest.take(batch.lines, device.id);
    return Response.json({ ok: true, ...answer }, { headers: { 'Cache-Control': 'no-store' } });
  });
