/** What is locked out at this moment, by whom, where and since when; and what was parked or left so. */
import type { JobStatus } from '#lib/core/job/view-types.ts';
import type { SourceView } from '#lib/core/job/view-types.ts';
import type { Rows } from '../database/database.ts';
import { RecordReader } from '../looks/crew-records.ts';
import { namesOf } from '../programme/inspections.ts';
import { heardOf, type Heard } from './heard.ts';
import { listed, LISTED, type JobRow, type ListedJob } from './job-list.ts';
import { foldOf, machineNow, type Fold, type LockOn } from './standing-fold.ts';

/** Jobs that are not over. A refused job or one held as evidence may leave locks on the machine. */
export const OPEN: readonly JobStatus[] = ['atWork', 'downTools', 'parkedShut', 'parkedUsable'];
const LEFT: readonly JobStatus[] = ['refused', 'evidenceHold', 'handedBack'];
/** Read at once; the page says when there are more. */
export const MOST_OPEN = 300;
/** Of the jobs that are over, only the newest are looked through for a lock that was forgotten. */
const MOST_LEFT = 100;

export interface OpenJob extends ListedJob {
  readonly locks: readonly (LockOn & { readonly name: string })[];
  readonly sources: readonly Pick<SourceView, 'id' | 'label' | 'kind' | 'state' | 'provedAt'>[];
  readonly openEnds: number;
  /** Its checklist has not come in, or an entry says what this program does not know. */
  readonly unread: boolean;
}

export interface NowBoard {
  readonly open: readonly OpenJob[];
  /** Over, with a lock still on the machine by the record. */
  readonly left: readonly OpenJob[];
  /** Open jobs that are not shown. */
  readonly beyond: number;
  readonly heard: readonly Heard[];
}

/** Folded records by job, each until another entry comes in. */
const kept = new Map<
  string,
  { readonly count: number; readonly sha256: string; readonly fold: Fold }
>();
const MOST_KEPT = 2000;

export async function nowBoard(rows: Rows, demo: boolean, now: number): Promise<NowBoard> {
  const open = await newestIn(rows, demo, OPEN, MOST_OPEN + 1);
  const over = await newestIn(rows, demo, LEFT, MOST_LEFT);
  const { count } =
    open.length <= MOST_OPEN
      ? { count: open.length }
      : await rows
          .selectFrom('jobs')
          .select((is) => is.fn.countAll<number>().as('count'))
          .where('demo', '=', demo ? 1 : 0)
          .where('status', 'in', OPEN)
          .executeTakeFirstOrThrow();
  const names = await namesOf(rows);
  const reader = new RecordReader(rows);
  const told = async (no: readonly number[], locked: boolean): Promise<OpenJob[]> => {
    const found = await rowsOf(rows, no);
    const folds = new Map<number, Fold | null>();
    for (const row of found) folds.set(row.no, await foldIn(reader, row));
    // Of those that are over, nearly all have no lock on: they are looked up no further.
    const shown = found.filter((row) => !locked || (folds.get(row.no)?.locks.length ?? 0) > 0);
    const jobs = await listed(rows, shown);
    return jobs.map((job) => openJob(job, folds.get(job.no) ?? null, names, now));
  };
  return {
    open: await told(open.slice(0, MOST_OPEN), false),
    left: await told(over, true),
    beyond: Math.max(0, Number(count) - MOST_OPEN),
    heard: await heardOf(rows, demo),
  };
}

function openJob(
  job: ListedJob,
  fold: Fold | null,
  names: ReadonlyMap<string, string>,
  now: number,
): OpenJob {
  const machine = fold && machineNow(fold, now);
  return {
    ...job,
    locks: (fold?.locks ?? []).map((lock) => ({
      ...lock,
      name: names.get(lock.owner) ?? lock.owner,
    })),
    sources: (machine?.sources ?? []).map(({ id, label, kind, state, provedAt }) => ({
      id,
      label,
      kind,
      state,
      ...(provedAt === undefined ? {} : { provedAt }),
    })),
    openEnds: machine?.openEnds.length ?? 0,
    unread: fold === null,
  };
}

/** Their numbers alone: they stand in the index, and most of what it finds is not shown. */
export async function newestIn(
  rows: Rows,
  demo: boolean,
  status: readonly JobStatus[],
  most: number,
): Promise<number[]> {
  // One state after the other, each along its index; together they would be sorted first.
  const found = [];
  for (const one of status)
    found.push(
      ...(await rows
        .selectFrom('jobs')
        .select(['no', 'last_at'])
        .where('demo', '=', demo ? 1 : 0)
        .where('status', '=', one)
        .orderBy('last_at', 'desc')
        .limit(most)
        .execute()),
    );
  return found
    .toSorted((a, b) => b.last_at - a.last_at)
    .slice(0, most)
    .map(({ no }) => no);
}

/** In the order of the numbers. */
export async function rowsOf(rows: Rows, no: readonly number[]): Promise<JobRow[]> {
  if (no.length === 0) return [];
  const found = await rows.selectFrom('jobs').select(LISTED).where('no', 'in', no).execute();
  const byNo = new Map(found.map((row) => [row.no, row]));
  return no.flatMap((one) => byNo.get(one) ?? []);
}

async function foldIn(
  reader: RecordReader,
  row: Pick<JobRow, 'no' | 'job' | 'checklist_sha256' | 'count'>,
): Promise<Fold | null> {
  const { job, count, checklist_sha256: sha256 } = row;
  const known = kept.get(job);
  if (known?.count === count && known.sha256 === sha256) return known.fold;
  const read = await reader.read(row);
  const fold = read === null ? null : foldOf(read.checklist, read.events);
  if (kept.size >= MOST_KEPT) kept.clear();
  if (fold !== null) kept.set(job, { count, sha256, fold });
  return fold;
}
