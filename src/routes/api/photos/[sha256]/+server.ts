import { LARGEST_PART } from '#lib/server/files/photo-shelf.ts';
import { house } from '#lib/server/house.ts';
import { readBody } from '#lib/server/web/body.ts';
import { fromDevice } from '#lib/server/web/device-request.ts';
import { refusal, reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

/** How much of a photo is here: where sending goes on. */
export const GET: RequestHandler = ({ request, params }) =>
  fromDevice(request, house(), async () => reply(await house().photos.state(params.sha256)));

/** The next part: `Upload-Offset` says where it begins, `Upload-Length` how long the whole is. */
export const PATCH: RequestHandler = ({ request, params }) =>
  fromDevice(request, house(), async () => {
    const body = await readBody(request, LARGEST_PART, ['application/octet-stream']);
    if (!body.ok) return refusal(body);
    const part = {
      sha256: params.sha256,
      size: Number(request.headers.get('upload-length') ?? Number.NaN),
      start: Number(request.headers.get('upload-offset') ?? Number.NaN),
      bytes: body.value,
    };
    return reply(await house().photos.add(part, house().now()));
  });
