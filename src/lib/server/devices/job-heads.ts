/** How far the server has the jobs that a device asks about, and what it still misses of them. */
import { hex } from '#lib/core/record/index.ts';
import type { Rows } from '../database/database.ts';

export interface JobHead {
  readonly job: string;
  /** Entries of the main branch. */
  readonly count: number;
  /** Hash of the last, hex. */
  readonly head: string;
  readonly forked: boolean;
  /** SHA-256 of the checklist it pins, when that is not here. */
  readonly checklist?: string;
  /** Photos that its entries name and that are not here in full. */
  readonly photos: readonly string[];
}

/** Jobs that are not known here are left out. */
export async function jobHeads(rows: Rows, jobs: readonly string[]): Promise<JobHead[]> {
  if (jobs.length === 0) return [];
  const found = await rows
    .selectFrom('jobs')
    .leftJoin('checklists', 'checklists.sha256', 'jobs.checklist_sha256')
    .select([
      'jobs.no',
      'jobs.job',
      'jobs.count',
      'jobs.head',
      'jobs.forked',
      'jobs.checklist_sha256',
      'checklists.id as kept',
    ])
    .where('jobs.job', 'in', jobs)
    .execute();
  const missing = await photosMissing(
    rows,
    found.map(({ no }) => no),
  );
  return found.map(({ no, job, count, head, forked, checklist_sha256, kept }) => ({
    job,
    count,
    head: hex(head),
    forked: forked === 1,
    ...(kept === null ? { checklist: checklist_sha256 } : {}),
    photos: missing.get(no) ?? [],
  }));
}

async function photosMissing(
  rows: Rows,
  jobs: readonly number[],
): Promise<ReadonlyMap<number, string[]>> {
  const byJob = new Map<number, string[]>();
  if (jobs.length === 0) return byJob;
  const uses = await rows
    .selectFrom('photo_uses')
    .leftJoin('photos', (join) =>
      join.onRef('photos.sha256', '=', 'photo_uses.sha256').on('photos.complete', '=', 1),
    )
    .select(['photo_uses.job_no', 'photo_uses.sha256'])
    .where('photo_uses.job_no', 'in', jobs)
    .where('photos.sha256', 'is', null)
    .execute();
  for (const { job_no, sha256 } of uses) byJob.set(job_no, [...(byJob.get(job_no) ?? []), sha256]);
  return byJob;
}
