/** Flags: what deserves a look by a person. A flag says what was seen; it never judges anybody. */
import { actOf, changed } from './log/change.ts';
import type { Rows } from './database/database.ts';
import type { OrganisationLog } from './log/organisation-log.ts';
import { refused } from './refusal.ts';
import type { Answered } from './refusal.ts';

export type FlagCode =
  | 'fork'
  | 'late-key'
  | 'clock-ahead'
  | 'clock-behind'
  | 'unknown-checkpoint'
  | 'safety'
  | 'unjudged'
  | 'overdue';

export interface NewFlag {
  readonly code: FlagCode;
  readonly job_no: number | null;
  /** The leaf that it is about. */
  readonly idx: number | null;
  readonly says: string;
}

/** Raises flags, each job and code once while it is open. Only inside `alone`, which numbers them. */
export async function raise(rows: Rows, flags: readonly NewFlag[], at: number): Promise<void> {
  for (const flag of flags) {
    const open = await rows
      .selectFrom('flags')
      .select('no')
      .where('job_no', flag.job_no === null ? 'is' : '=', flag.job_no)
      .where('code', '=', flag.code)
      .where('settled_at', 'is', null)
      .executeTakeFirst();
    if (open !== undefined) continue;
    const { last } = await rows
      .selectFrom('flags')
      .select((is) => is.fn.max('no').as('last'))
      .executeTakeFirstOrThrow();
    await rows
      .insertInto('flags')
      .values({
        ...flag,
        no: (last ?? 0) + 1,
        raised_at: at,
        settled_at: null,
        settled_by: null,
        settled_why: null,
      })
      .execute();
  }
}

/** Somebody has looked at it, and says what they found. */
export function settleFlag(
  { log, now }: { readonly log: OrganisationLog; readonly now: () => number },
  no: number,
  why: string,
  by: string,
): Promise<Answered<object>> {
  return changed(log, async (rows) => {
    const found = why.trim().slice(0, 500);
    if (found === '') return refused(422, 'no-why', 'Say what you found.');
    const { numUpdatedRows } = await rows
      .updateTable('flags')
      .set({ settled_at: now(), settled_by: by, settled_why: found })
      .where('no', '=', no)
      .where('settled_at', 'is', null)
      .executeTakeFirst();
    if (numUpdatedRows !== 1n) return refused(404, 'no-flag', 'It was settled before.');
    return actOf('flag.settled', { flag: no }, by, {});
  });
}

export interface OpenFlag {
  readonly no: number;
  readonly code: string;
  readonly job: string | null;
  readonly says: string;
  readonly raisedAt: number;
}

/** The newest first. */
export async function openFlags(rows: Rows, most = 200): Promise<OpenFlag[]> {
  const found = await rows
    .selectFrom('flags')
    .leftJoin('jobs', 'jobs.no', 'flags.job_no')
    .select(['flags.no', 'flags.code', 'jobs.job', 'flags.says', 'flags.raised_at'])
    .where('flags.settled_at', 'is', null)
    .orderBy('flags.no', 'desc')
    .limit(most)
    .execute();
  return found.map(({ raised_at, ...flag }) => ({ ...flag, raisedAt: raised_at }));
}
