/** What waits for somebody of the office on other pages: counted for the head of the first one. */
import type { Rows } from '../database/database.ts';
import { PRIVATE_MS } from '../looks/look-list.ts';

export interface Waiting {
  /** Flags that nobody has settled. One without a job belongs to the real crew. */
  readonly flags: number;
  /** Second looks that were answered, or whose days to answer are over: the officer has the word. */
  readonly looks: number;
}

/** Who may not act on second looks is told of none. */
export async function waitingHere(
  rows: Rows,
  who: { readonly demo: boolean; readonly officer: boolean; readonly now: number },
): Promise<Waiting> {
  const flags = await rows
    .selectFrom('flags')
    .leftJoin('jobs', 'jobs.no', 'flags.job_no')
    .select((is) => is.fn.countAll<number>().as('count'))
    .where('flags.settled_at', 'is', null)
    .where((is) => {
      const demo = is('jobs.demo', '=', who.demo ? 1 : 0);
      return who.demo ? demo : is.or([demo, is('flags.job_no', 'is', null)]);
    })
    .executeTakeFirstOrThrow();
  if (!who.officer) return { flags: Number(flags.count), looks: 0 };
  const looks = await rows
    .selectFrom('looks')
    .select((is) => is.fn.countAll<number>().as('count'))
    .where('demo', '=', who.demo ? 1 : 0)
    .where('closed_at', 'is', null)
    .where((is) =>
      is.or([is('answered_at', 'is not', null), is('asked_at', '<=', who.now - PRIVATE_MS)]),
    )
    .executeTakeFirstOrThrow();
  return { flags: Number(flags.count), looks: Number(looks.count) };
}
