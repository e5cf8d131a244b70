/** A sample that the program draws and nobody chooses: the seed stands in the signed act before anybody sees the jobs. */
import { drawn, SAMPLE_SHARE } from '#lib/core/screen/sample.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import { actOf, changed } from '../log/change.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { refused, type Answered } from '../refusal.ts';
import { freshToken } from '../secrets.ts';

const DAYS = 30;
const MOST_AMONG = 50_000;

export interface Sample {
  readonly no: number;
  readonly seed: string;
  readonly fromAt: number;
  readonly untilAt: number;
  readonly among: number;
  readonly at: number;
  readonly jobs: readonly { readonly job: string; readonly countersigned: boolean }[];
}

/** Draws from the jobs that were opened in the thirty days before now. */
export function drawSample(
  { log, now }: { readonly log: OrganisationLog; readonly now: () => number },
  demo: boolean,
  by: string,
  seed = freshToken(),
): Promise<Answered<{ readonly no: number }>> {
  return changed(log, async (rows) => {
    const until = now();
    const from = until - DAYS * 86_400_000;
    const among = await rows
      .selectFrom('jobs')
      .select('job')
      .where('demo', '=', demo ? 1 : 0)
      .where('opened_at', '>', from)
      .where('opened_at', '<=', until)
      .limit(MOST_AMONG)
      .execute();
    if (among.length === 0)
      return refused(409, 'no-jobs', `No job was opened in the last ${DAYS} days.`);
    const jobs = drawn(
      among.map(({ job }) => job),
      seed,
      nodePrimitives,
    );
    const { last } = await rows
      .selectFrom('samples')
      .select((is) => is.fn.max('no').as('last'))
      .executeTakeFirstOrThrow();
    const no = (last ?? 0) + 1;
    await rows
      .insertInto('samples')
      .values({
        no,
        seed,
        from_at: from,
        until_at: until,
        among: among.length,
        jobs: JSON.stringify(jobs),
        demo: demo ? 1 : 0,
        by,
        at: until,
      })
      .execute();
    const percent = Math.round(SAMPLE_SHARE * 100);
    const body = { among: among.length, from, jobs: [...jobs], percent, sample: no, seed, until };
    return actOf('sample.drawn', body, by, { no });
  });
}

/** The newest few. */
export async function samples(rows: Rows, demo: boolean): Promise<Sample[]> {
  const found = await rows
    .selectFrom('samples')
    .selectAll()
    .where('demo', '=', demo ? 1 : 0)
    .orderBy('no', 'desc')
    .limit(6)
    .execute();
  const jobs = found.flatMap((row) => JSON.parse(row.jobs) as string[]);
  const signed =
    jobs.length === 0
      ? []
      : await rows
          .selectFrom('office_words')
          .select('job')
          .where('kind', '=', 'countersign')
          .where('job', 'in', jobs.slice(0, 5000))
          .execute();
  const countersigned = new Set(signed.map(({ job }) => job));
  return found.map((row) => ({
    no: row.no,
    seed: row.seed,
    fromAt: row.from_at,
    untilAt: row.until_at,
    among: row.among,
    at: row.at,
    jobs: (JSON.parse(row.jobs) as string[]).map((job) => ({
      job,
      countersigned: countersigned.has(job),
    })),
  }));
}
