import { Readable } from 'node:stream';
import { house } from '#lib/server/house.ts';
import { pictureHeaders, startsAsJpeg } from '#lib/server/web/picture.ts';
import { allowed } from '#lib/server/web/office-request.ts';
import { error } from '@sveltejs/kit';
import type { RequestHandler } from './$types';

/** A photo as it was sent. What does not begin as a JPEG is not shown: it can only be in a bag. */
export const GET: RequestHandler = async ({ locals, params }) => {
  allowed(locals, 'look');
  const { photos } = house();
  const photo = /^[0-9a-f]{64}$/.test(params.sha256) ? await photos.look(params.sha256) : null;
  if (photo === null) error(404, { message: 'This photo is not here.', code: 'no-photo' });
  const parts = photos.read(params.sha256);
  const first = await parts.next();
  if (first.done === true || !startsAsJpeg(first.value))
    error(415, { message: 'These bytes are not a photo, and are not shown.', code: 'no-picture' });
  async function* whole() {
    yield first.value as Uint8Array;
    yield* parts;
  }
  const body = Readable.toWeb(Readable.from(whole(), { objectMode: false }));
  return new Response(body as unknown as BodyInit, { headers: pictureHeaders });
};
