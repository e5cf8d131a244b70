/**
 * Limits on guessing, counted in the database so that they hold across processes. Each guess is
 * counted before it is looked at, so that many at once get no further than many in a row.
 *
 * A name under attack is slowed for the place the guesses come from first, and for everybody only much
 * later; a passkey of the owner works all the time.
 */
import { sql } from 'kysely';
import type { Rows } from '../database/database.ts';
import { tokenHash } from '../secrets.ts';

const WINDOW_MS = 15 * 60_000;

export interface Limit {
  /** What is counted, in plain text; only its hash is kept. */
  readonly bucket: string;
  readonly most: number;
}

export const limitsOf = (login: string, from: string): readonly Limit[] => [
  { bucket: `name and place: ${login.toLowerCase()} ${from}`, most: 10 },
  { bucket: `place: ${from}`, most: 50 },
  { bucket: `name: ${login.toLowerCase()}`, most: 100 },
];

/** Counts one try in every bucket; seconds to wait when one of them is full, else null. */
export async function countTry(
  rows: Rows,
  limits: readonly Limit[],
  now: number,
): Promise<number | null> {
  let wait: number | null = null;
  for (const { bucket, most } of limits) {
    const name = nameOf(bucket);
    const old = now - WINDOW_MS;
    const { begun_at, count } = await rows
      .insertInto('tries')
      .values({ bucket: name, begun_at: now, count: 1 })
      .onConflict((on) =>
        on.column('bucket').doUpdateSet({
          count: sql`case when tries.begun_at <= ${old} then 1 else tries.count + 1 end`,
          begun_at: sql`case when tries.begun_at <= ${old} then ${now} else tries.begun_at end`,
        }),
      )
      .returning(['begun_at', 'count'])
      .executeTakeFirstOrThrow();
    if (count <= most) continue;
    wait = Math.max(wait ?? 0, Math.ceil((begun_at + WINDOW_MS - now) / 1000));
  }
  return wait;
}

/** After a success: who got in has not been guessing. */
export async function forgetTries(rows: Rows, limits: readonly Limit[]): Promise<void> {
  const names = limits.map(({ bucket }) => nameOf(bucket));
  await rows.deleteFrom('tries').where('bucket', 'in', names).execute();
}

/** What ran out is nobody's business any more. */
export async function sweepTries(rows: Rows, now: number): Promise<void> {
  await rows
    .deleteFrom('tries')
    .where('begun_at', '<', now - WINDOW_MS)
    .execute();
}

function nameOf(bucket: string): string {
  return Buffer.from(tokenHash(bucket)).toString('hex');
}
