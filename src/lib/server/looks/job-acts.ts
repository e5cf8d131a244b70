/**
 * What the office says about a job: a note, a countersignature, an amendment, a held start let go. The
 * record itself is never changed; each is an act in the office's own signed record.
 */
import { base64url } from '#lib/core/record/index.ts';
import type { Rows, Writing } from '../database/database.ts';
import { actOf, changed, type Change } from '../log/change.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { refused, type Answered, type Refused } from '../refusal.ts';
import { eventsOfType } from './entries-of-type.ts';
import { keepWords, wrongWords } from './words-kept.ts';

interface Ground {
  readonly log: OrganisationLog;
  readonly now: () => number;
}

interface About {
  readonly job: string;
  readonly text: string;
}

export const noteOnJob = (ground: Ground, { job, text }: About, by: string) =>
  aboutJob(ground, job, text, async (rows) => {
    const words = await keepWords(rows, { kind: 'jobNote', job, by, at: ground.now(), text });
    return actOf('job.noted', { job, words }, by, {});
  });

/** Says of the record up to its present last entry that somebody of the office has read it. */
export const countersign = (ground: Ground, { job, text }: About, by: string) =>
  aboutJob(ground, job, text, async (rows, { count, head }) => {
    const words = await keepWords(rows, {
      kind: 'countersign',
      job,
      seq: count - 1,
      by,
      at: ground.now(),
      text,
    });
    const body = { count, head: base64url(new Uint8Array(head)), job, words };
    return actOf('job.countersigned', body, by, {});
  });

/** Adds to an entry what is known better now; the entry stays as it was. */
export const amendJob = (
  ground: Ground,
  { job, text, seq }: About & { readonly seq: number },
  by: string,
) =>
  aboutJob(ground, job, text, async (rows, { count }) => {
    if (!Number.isInteger(seq) || seq < 0 || seq >= count)
      return refused(422, 'no-entry', `The job has the entries 0 to ${count - 1}.`);
    const words = await keepWords(rows, { kind: 'amend', job, seq, by, at: ground.now(), text });
    return actOf('job.amended', { job, seq, words }, by, {});
  });

export interface HeldStart {
  readonly job: string;
  readonly seq: number;
  /** Whose lock was taken off. */
  readonly owner: string;
  readonly name: string;
  readonly lock: string;
  readonly at: number;
}

/** Locks that somebody took off for their owner, whom nobody has told yet: that person starts no new work. */
export async function heldStarts(rows: Rows): Promise<HeldStart[]> {
  const removed = await eventsOfType(rows, 'lock.removedFor', 200);
  const released = await rows
    .selectFrom('office_words')
    .select(['job', 'seq'])
    .where('kind', '=', 'release')
    .execute();
  const done = new Set(released.map(({ job, seq }) => `${job} ${seq}`));
  const people = await rows.selectFrom('people').select(['id', 'name']).execute();
  const names = new Map(people.map(({ id, name }) => [id, name]));
  return removed.flatMap(({ job, seq, event }) => {
    if (event.type !== 'lock.removedFor' || done.has(`${job} ${seq}`)) return [];
    const { owner, lock } = event.body;
    return [{ job, seq, owner, lock, name: names.get(owner) ?? owner, at: Date.parse(event.at) }];
  });
}

/** Somebody has told the owner, in their presence, that the lock is off. */
export const releaseStart = (
  ground: Ground,
  { job, seq, text }: About & { readonly seq: number },
  by: string,
) =>
  aboutJob(ground, job, text, async (rows) => {
    const held = await heldStarts(rows);
    if (!held.some((one) => one.job === job && one.seq === seq))
      return refused(404, 'not-held', 'No start is held by this entry any more.');
    const words = await keepWords(rows, { kind: 'release', job, seq, by, at: ground.now(), text });
    return actOf('start.released', { job, seq, words }, by, {});
  });

function aboutJob(
  { log }: Ground,
  job: string,
  text: string,
  work: (
    rows: Writing,
    row: { readonly count: number; readonly head: Uint8Array },
  ) => Promise<Change<object> | Refused>,
): Promise<Answered<object>> {
  return changed(log, async (rows) => {
    const wrong = wrongWords(text);
    if (wrong !== null) return wrong;
    const row = await rows
      .selectFrom('jobs')
      .select(['count', 'head'])
      .where('job', '=', job)
      .executeTakeFirst();
    return row === undefined
      ? refused(404, 'no-job', 'There is no such job here.')
      : work(rows, row);
  });
}
