/** Many bags in one file, made one after the other while they are sent. */
import { makeZip } from 'client-zip';
import type { Rows } from '../database/database.ts';
import type { PhotoShelf } from '../files/photo-shelf.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { bagOfJob } from '../shares/bag-of-job.ts';
import { everyJob } from './exports.ts';
import type { JobFilter } from './job-list.ts';

export const MOST_BAGS = 200;

export interface BagGround {
  readonly rows: Rows;
  readonly log: OrganisationLog;
  readonly photos: PhotoShelf;
  readonly now: number;
  readonly software: string;
}

const tooMany = `All jobs after the first ${MOST_BAGS}: ask for fewer at a time.`;

/** The jobs whose bags go into the file, and in words what stays out: for a page that makes it itself. */
export async function bagList(
  rows: Rows,
  filter: JobFilter,
): Promise<{ readonly jobs: readonly string[]; readonly lacking: readonly string[] }> {
  const jobs: string[] = [];
  for await (const { job } of everyJob(rows, filter)) {
    if (jobs.length >= MOST_BAGS) return { jobs, lacking: [tooMany] };
    jobs.push(job);
  }
  return { jobs, lacking: [] };
}

/** What could not be made is named in `not-in-here.txt`, which is there only then. */
export function bagsAsZip(ground: BagGround, filter: JobFilter): ReadableStream<Uint8Array> {
  return makeZip(bagFiles(ground, filter));
}

async function* bagFiles({ rows, log, photos, now, software }: BagGround, filter: JobFilter) {
  const lastModified = new Date(now);
  const lacking: string[] = [];
  let made = 0;
  for await (const { no, job, demo } of everyJob(rows, filter)) {
    if (made >= MOST_BAGS) {
      lacking.push(tooMany);
      break;
    }
    made += 1;
    const bag = await bagOfJob(rows, log, photos, { jobNo: no, withhold: [], now, software });
    if (!bag.ok) {
      lacking.push(`${job}: ${bag.says}`);
      continue;
    }
    const name = `${demo ? 'demonstration-' : ''}${bag.value.name}.zip`;
    yield { name, lastModified, input: bag.value.bytes };
  }
  if (lacking.length > 0)
    yield { name: 'not-in-here.txt', lastModified, input: `${lacking.join('\n')}\n` };
}
