/** Private values, kept beside the entries that hold their digests, until they are erased. */
import { digestOf, readDisclosure, readLine } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Database, Rows } from '../database/database.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';

export interface SentDisclosure {
  readonly seq: number;
  /** Base 64, as it was hashed. */
  readonly disclosure: string;
}

/** Takes those that fit an entry; one that was erased, or fits nothing, is not kept. */
export async function keepDisclosures(
  database: Database,
  job: string,
  sent: readonly SentDisclosure[],
): Promise<Answered<{ readonly kept: number; readonly left: number }>> {
  return database.rows.transaction().execute(async (rows) => {
    const found = await rows
      .selectFrom('jobs')
      .select('no')
      .where('job', '=', job)
      .executeTakeFirst();
    if (found === undefined)
      return refused(
        404,
        'no-such-job',
        'Send the entries of the job first, then what is private.',
      );
    const digests = await digestsIn(rows, found.no, [...new Set(sent.map(({ seq }) => seq))]);
    const erased = await erasedIn(rows, found.no);
    const fitting = sent.flatMap(({ seq, disclosure }) => {
      const digest = digestOf(disclosure, nodePrimitives);
      const fits = digests.has(`${seq} ${digest}`) && !erased.has(digest);
      const form = readDisclosure(disclosure, nodePrimitives);
      return fits && form.ok ? [{ job_no: found.no, digest, seq, encoded: disclosure }] : [];
    });
    if (fitting.length > 0)
      await rows
        .insertInto('disclosures')
        .values(fitting)
        .onConflict((on) => on.columns(['job_no', 'digest']).doNothing())
        .execute();
    return answered({ kept: fitting.length, left: sent.length - fitting.length });
  });
}

/** `seq digest` of every digest in these entries, on whatever branch. */
async function digestsIn(
  rows: Rows,
  job_no: number,
  seqs: readonly number[],
): Promise<ReadonlySet<string>> {
  if (seqs.length === 0) return new Set();
  const entries = await rows
    .selectFrom('leaves')
    .select(['seq', 'line'])
    .where('job_no', '=', job_no)
    .where('seq', 'in', seqs)
    .execute();
  return new Set(
    entries.flatMap(({ seq, line }) => {
      const read = readLine(line, nodePrimitives);
      return read.ok ? (read.value.entry._sd ?? []).map((digest) => `${seq} ${digest}`) : [];
    }),
  );
}

async function erasedIn(rows: Rows, job_no: number): Promise<ReadonlySet<string>> {
  const entries = await rows
    .selectFrom('leaves')
    .select('line')
    .where('job_no', '=', job_no)
    .where('type', '=', 'disclosure.erased')
    .execute();
  return new Set(
    entries.flatMap(({ line }) => {
      const read = readLine(line, nodePrimitives);
      const digest = read.ok ? read.value.entry.body['digest'] : null;
      return typeof digest === 'string' ? [digest] : [];
    }),
  );
}
