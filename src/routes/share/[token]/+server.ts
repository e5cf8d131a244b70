import { Readable } from 'node:stream';
import { version } from '$app/environment';
import { house } from '#lib/server/house.ts';
import { openShare } from '#lib/server/shares/share-link.ts';
import { fromStranger } from '#lib/server/web/device-request.ts';
import { refusal } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

/** The bag that a link leads to; each opening is in the log. */
export const GET: RequestHandler = ({ params, getClientAddress }) =>
  fromStranger(house(), getClientAddress(), async () => {
    const opened = await openShare(house(), params.token, version);
    if (!opened.ok) return refusal(opened);
    const { name, bytes } = opened.value;
    const body = Readable.toWeb(Readable.from(bytes, { objectMode: false }));
    return new Response(body as unknown as BodyInit, {
      headers: {
        'Content-Type': 'application/zip',
        'Content-Disposition': `attachment; filename="${name}.zip"`,
        'Cache-Control': 'no-store',
        'X-Robots-Tag': 'noindex',
      },
    });
  });
