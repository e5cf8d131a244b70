/** What is locked out at this moment, by whom, where and since when; and what was parked or left so. */
import type { JobStatus } from '#lib/core/job/view-types.ts';
import type { SourceView } from '#lib/core/job/view-types.ts';
import type { Rows } from '../database/database.ts';
import { RecordReader } from '../looks/crew-records.ts';
import { eventsOfType } from '../looks/entries-of-type.ts';
import { namesOf } from '../programme/inspections.ts';
import { listed, type ListedJob } from './job-list.ts';
import { foldOf, machineNow, type Fold, type LockOn } from './standing-fold.ts';

/** Jobs that are not over. A refused job or one held as evidence may leave locks on the machine. */
const OPEN: readonly JobStatus[] = ['atWork', 'downTools', 'parkedShut', 'parkedUsable'];
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

/** A shock, a scare or a near miss that nobody of the office has signed for yet. */
export interface Heard {
  readonly job: string;
  readonly seq: number;
  readonly kind: 'tingle' | 'nearMiss';
  readonly what: string;
  readonly at: number;
}

/** Folded records by job, until another entry comes in. */
const kept = new Map<string, Fold>();
const MOST_KEPT = 2000;

export async function nowBoard(rows: Rows, demo: boolean, now: number): Promise<NowBoard> {
  const open = await jobsIn(rows, demo, OPEN, MOST_OPEN + 1);
  const over = await jobsIn(rows, demo, LEFT, MOST_LEFT);
  const { count } =
    open.length <= MOST_OPEN
      ? { count: open.length }
      : await rows
          .selectFrom('jobs')
          .select((is) => is.fn.countAll<number>().as('count'))
          .where('demo', '=', demo ? 1 : 0)
          .where('status', 'in', OPEN)
          .executeTakeFirstOrThrow();
  const reader = new RecordReader(rows);
  const names = await namesOf(rows);
  const nameOf = (id: string): string => names.get(id) ?? id;
  const read = async (found: typeof open, locked: boolean): Promise<OpenJob[]> => {
    const jobs = await listed(rows, found);
    const all: OpenJob[] = [];
    for (const [at, row] of found.entries()) {
      const job = jobs[at];
      if (job === undefined) continue;
      const fold = await foldIn(reader, row);
      const locks = (fold?.locks ?? []).map((lock) => ({ ...lock, name: nameOf(lock.owner) }));
      if (locked && locks.length === 0) continue;
      const machine = fold && machineNow(fold, now);
      all.push({
        ...job,
        locks,
        sources: (machine?.sources ?? []).map(({ id, label, kind, state, provedAt }) => ({
          id,
          label,
          kind,
          state,
          ...(provedAt === undefined ? {} : { provedAt }),
        })),
        openEnds: machine?.openEnds.length ?? 0,
        unread: fold === null,
      });
    }
    return all;
  };
  return {
    open: await read(open.slice(0, MOST_OPEN), false),
    left: await read(over, true),
    beyond: Math.max(0, Number(count) - MOST_OPEN),
    heard: await heardOf(rows, demo),
  };
}

async function jobsIn(rows: Rows, demo: boolean, status: readonly JobStatus[], most: number) {
  // One state after the other, each along its index; together they would be sorted first.
  const found = [];
  for (const one of status)
    found.push(
      ...(await rows
        .selectFrom('jobs')
        .selectAll()
        .where('demo', '=', demo ? 1 : 0)
        .where('status', '=', one)
        .orderBy('last_at', 'desc')
        .limit(most)
        .execute()),
    );
  return found.toSorted((a, b) => b.last_at - a.last_at).slice(0, most);
}

async function foldIn(
  reader: RecordReader,
  row: { no: number; job: string; checklist_sha256: string; count: number },
): Promise<Fold | null> {
  const name = `${row.job} ${row.count} ${row.checklist_sha256}`;
  const known = kept.get(name);
  if (known !== undefined) return known;
  const read = await reader.read(row);
  const fold = read === null ? null : foldOf(read.checklist, read.events);
  if (kept.size >= MOST_KEPT) kept.clear();
  if (fold !== null) kept.set(name, fold);
  return fold;
}

async function heardOf(rows: Rows, demo: boolean): Promise<Heard[]> {
  const found = [
    ...(await eventsOfType(rows, 'tingle', 100)),
    ...(await eventsOfType(rows, 'nearMiss', 100)),
  ];
  if (found.length === 0) return [];
  const jobs = [...new Set(found.map(({ job }) => job))];
  const mine = await rows
    .selectFrom('jobs')
    .select('job')
    .where('job', 'in', jobs)
    .where('demo', '=', demo ? 1 : 0)
    .execute();
  const signed = await rows
    .selectFrom('office_words')
    .select(['job', 'seq'])
    .where('kind', '=', 'countersign')
    .where('job', 'in', jobs)
    .execute();
  const shown = new Set(mine.map(({ job }) => job));
  return found
    .flatMap(({ job, seq, event }): Heard[] => {
      if (event.type !== 'tingle' && event.type !== 'nearMiss') return [];
      const read = signed.some((one) => one.job === job && (one.seq ?? -1) >= seq);
      if (read || !shown.has(job)) return [];
      return [{ job, seq, kind: event.type, what: event.body.what, at: Date.parse(event.at) }];
    })
    .toSorted((a, b) => b.at - a.at);
}
