/**
 * A link for somebody outside, an insurer say: to the bag of one job, until a day, each opening a leaf
 * of the tree. Only a hash of the link is kept here; who has the link has the bag.
 */
import type { BagBeingWritten } from '#lib/core/bag/write-bag.ts';
import { actOf, changed } from '../log/change.ts';
import type { Database, Rows } from '../database/database.ts';
import type { PhotoShelf } from '../files/photo-shelf.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';
import { freshId, freshToken, tokenHash } from '../secrets.ts';
import { bagOfJob } from './bag-of-job.ts';

const LONGEST_DAYS = 90;
const DAY_MS = 24 * 3_600_000;

export interface ShareGround {
  readonly database: Database;
  readonly log: OrganisationLog;
  readonly photos: PhotoShelf;
  readonly now: () => number;
}

export interface ShareAsked {
  /** UUID of the job. */
  readonly job: string;
  /** Who it is for, in words; stays in the office. */
  readonly reader: string;
  /** Names of private values to leave out. */
  readonly withhold: readonly string[];
  readonly days: number;
}

/** @returns the secret part of the link, shown once */
export async function makeShare(
  { log, now }: ShareGround,
  asked: ShareAsked,
  by: string,
): Promise<Answered<{ readonly token: string; readonly endsAt: number }>> {
  if (!Number.isInteger(asked.days) || asked.days < 1 || asked.days > LONGEST_DAYS)
    return refused(422, 'bad-days', `A link ends after 1 to ${LONGEST_DAYS} days.`);
  const reader = asked.reader.trim();
  if (reader === '' || reader.length > 120)
    return refused(422, 'bad-reader', 'Say who the link is for, in at most 120 letters.');
  const token = freshToken();
  const id = freshId('s');
  const endsAt = now() + asked.days * DAY_MS;
  return changed(log, async (rows) => {
    const job = await rows
      .selectFrom('jobs')
      .select('no')
      .where('job', '=', asked.job)
      .executeTakeFirst();
    if (job === undefined) return refused(404, 'no-such-job', 'There is no such job here.');
    await rows
      .insertInto('shares')
      .values({
        token_hash: tokenHash(token),
        id,
        job_no: job.no,
        withheld: JSON.stringify(asked.withhold),
        reader,
        made_by: by,
        made_at: now(),
        ends_at: endsAt,
        ended_by: null,
      })
      .execute();
    const body = { share: id, job: asked.job, until: new Date(endsAt).toISOString() };
    return actOf('share.made', body, by, { token, endsAt });
  });
}

/** Opens a link: the bag, once the opening itself is in the tree. */
export async function openShare(
  { database, log, photos, now }: ShareGround,
  token: string,
  software: string,
): Promise<Answered<BagBeingWritten>> {
  const share = await goodShare(database.rows, token, now());
  if (share === null) return NO_LINK;
  const asked = { jobNo: share.job_no, withhold: share.withhold, now: now(), software };
  const bag = await bagOfJob(database.rows, log, photos, asked);
  if (!bag.ok) return bag;
  return changed(log, async (rows) => {
    // It may have been ended in the meantime.
    if ((await goodShare(rows, token, now())) === null) return NO_LINK;
    return actOf('share.opened', { share: share.id }, 'link', bag.value);
  });
}

export function endShare({ log }: ShareGround, id: string, by: string): Promise<Answered<object>> {
  return changed(log, async (rows) => {
    const { numUpdatedRows } = await rows
      .updateTable('shares')
      .set({ ended_by: by })
      .where('id', '=', id)
      .where('ended_by', 'is', null)
      .executeTakeFirst();
    if (numUpdatedRows !== 1n) return refused(404, 'no-link', 'There is no such link any more.');
    return actOf('share.ended', { share: id }, by, {});
  });
}

export interface ShareListed {
  readonly id: string;
  readonly job: string;
  readonly reader: string;
  readonly madeAt: number;
  readonly endsAt: number;
  readonly ended: boolean;
}

export async function listShares(rows: Rows, now: number): Promise<ShareListed[]> {
  const found = await rows
    .selectFrom('shares')
    .innerJoin('jobs', 'jobs.no', 'shares.job_no')
    .select([
      'shares.id',
      'jobs.job',
      'shares.reader',
      'shares.made_at',
      'shares.ends_at',
      'shares.ended_by',
    ])
    .orderBy('shares.made_at', 'desc')
    .limit(200)
    .execute();
  return found.map(({ made_at, ends_at, ended_by, ...share }) => ({
    ...share,
    madeAt: made_at,
    endsAt: ends_at,
    ended: ended_by !== null || ends_at <= now,
  }));
}

async function goodShare(rows: Rows, token: string, now: number) {
  const found = await rows
    .selectFrom('shares')
    .select(['id', 'job_no', 'withheld'])
    .where('token_hash', '=', tokenHash(token))
    .where('ended_by', 'is', null)
    .where('ends_at', '>', now)
    .executeTakeFirst();
  if (found === undefined) return null;
  const { id, job_no, withheld } = found;
  return { id, job_no, withhold: JSON.parse(withheld) as string[] };
}

const NO_LINK = refused(
  404,
  'no-link',
  'This link does not lead anywhere, or has ended. Ask who sent it for a new one.',
);
