import { Readable } from 'node:stream';
import { error } from '@sveltejs/kit';
import { version } from '$app/environment';
import { house } from '#lib/server/house.ts';
import { bagOfJob } from '#lib/server/shares/bag-of-job.ts';
import { allowed } from '#lib/server/web/office-request.ts';
import type { RequestHandler } from './$types';

/** The evidence bag of one job, whole, for somebody of the office. */
export const GET: RequestHandler = async ({ locals, params }) => {
  allowed(locals, 'look');
  const { database, log, photos, now } = house();
  const { rows } = database;
  const job = await rows
    .selectFrom('jobs')
    .select(['no', 'demo'])
    .where('job', '=', params.id)
    .executeTakeFirst();
  if (job === undefined) error(404, { message: 'There is no such job here.', code: 'no-job' });
  const asked = { jobNo: job.no, withhold: [], now: now(), software: version };
  const bag = await bagOfJob(rows, log, photos, asked);
  if (!bag.ok) error(bag.status, { message: bag.says, code: bag.code });
  const body = Readable.toWeb(Readable.from(bag.value.bytes, { objectMode: false }));
  return new Response(body as unknown as BodyInit, {
    headers: {
      'Content-Type': 'application/zip',
      'Content-Disposition': `attachment; filename="${job.demo === 1 ? 'demonstration-' : ''}${bag.value.name}.zip"`,
      'Cache-Control': 'no-store',
    },
  });
};
