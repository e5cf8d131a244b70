import { Readable } from 'node:stream';
import { error } from '@sveltejs/kit';
import { version } from '$app/environment';
import { may } from '#lib/server/accounts/roles.ts';
import { house } from '#lib/server/house.ts';
import { bagList, bagsAsZip } from '#lib/server/overview/bags-out.ts';
import {
  entriesAsLines,
  jobsAsCsv,
  jobsAsLines,
  looksAsCsv,
} from '#lib/server/overview/exports.ts';
import { houseLimits, limitsFile } from '#lib/server/programme/limits.ts';
import { isMadeUp } from '#lib/server/web/crew.ts';
import { jobFilterOf } from '#lib/server/web/job-filter.ts';
import { allowed } from '#lib/server/web/office-request.ts';
import type { RequestHandler } from './$types';

/** Everything is sent as a file to be kept: nothing of it is shown by a browser. */
function file(name: string, type: string, body: unknown): Response {
  return new Response(body as BodyInit, {
    headers: {
      'Content-Type': type,
      'Content-Disposition': `attachment; filename="${name}"`,
      'Content-Security-Policy': "default-src 'none'; sandbox",
      'Cache-Control': 'no-store',
    },
  });
}

const sent = (parts: AsyncIterable<string>): unknown => Readable.toWeb(Readable.from(parts));

export const GET: RequestHandler = async ({ locals, params, url }) => {
  const { role, name } = allowed(locals, 'look');
  const { database, log, photos, now } = house();
  const { rows } = database;
  const filter = jobFilterOf(url);
  const marked = `${filter.demo ? 'demonstration-' : ''}${params.file}`;
  switch (params.file) {
    case 'jobs.csv':
      return file(marked, 'text/csv; charset=utf-8', sent(jobsAsCsv(rows, filter)));
    case 'jobs.ndjson':
      return file(marked, 'application/x-ndjson', sent(jobsAsLines(rows, filter)));
    case 'entries.ndjson':
      return file(marked, 'application/x-ndjson', sent(entriesAsLines(rows, filter)));
    case 'looks.csv': {
      const asked = { demo: isMadeUp(url), officer: may(role, 'review'), now: now() };
      const looks = looksAsCsv(rows, { ...asked, closed: false }, 'en');
      return file(marked, 'text/csv; charset=utf-8', sent(looks));
    }
    case 'bags.json':
      return file(marked, 'application/json', JSON.stringify(await bagList(rows, filter)));
    case 'bags.zip': {
      const ground = { rows, log, photos, now: now(), software: version };
      return file(marked, 'application/zip', bagsAsZip(ground, filter));
    }
    case 'house-limits.json': {
      const set = limitsFile(await houseLimits(rows), 'the firm', name, now());
      if (set === null) error(404, { message: 'No house limit is set.', code: 'no-limits' });
      return file(params.file, 'application/json', `${JSON.stringify(set, null, 2)}\n`);
    }
    default:
      error(404, { message: 'There is no such file here.', code: 'no-file' });
  }
};
