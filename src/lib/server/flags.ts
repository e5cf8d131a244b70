/** Flags: what deserves a look by a person. A flag says what was seen; it never judges anybody. */
import type { Rows } from './database/database.ts';

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
