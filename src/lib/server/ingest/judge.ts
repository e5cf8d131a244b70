/**
 * Runs the safety monitors over jobs after they came in, and flags what they find. Never in the way of
 * ingest: a record is kept whatever it tells.
 */
import { setImmediate as otherWork } from 'node:timers/promises';
import { eventOf } from '#lib/core/bag/bodies.ts';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { readLine } from '#lib/core/record/index.ts';
import { startSafety, stepSafety } from '#lib/core/safety/index.ts';
import type { Violation } from '#lib/core/safety/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Database, Rows } from '../database/database.ts';
import { checklistOf } from '../files/checklist-shelf.ts';
import { raise } from '../flags.ts';
import type { NewFlag } from '../flags.ts';

interface UnjudgedJob {
  readonly no: number;
  readonly count: number;
  readonly judged: number;
  readonly checklist_sha256: string;
}

const ENTRIES_AT_ONCE = 200;
const JOBS_AT_ONCE = 500;
const MOST_CHECKLISTS = 50;

export class Judge {
  readonly #database: Database;
  readonly #now: () => number;
  readonly #broke: (error: unknown) => void;
  readonly #checklists = new Map<string, Checklist>();
  readonly #waiting = new Set<number>();
  #running: Promise<void> | null = null;

  /** @param broke hears of what stopped it; the jobs are looked at again after the next start */
  constructor(database: Database, now: () => number, broke: (error: unknown) => void) {
    this.#database = database;
    this.#now = now;
    this.#broke = broke;
  }

  /** Entries of these jobs came in. */
  wake(jobs: Iterable<number>): void {
    for (const no of jobs) this.#waiting.add(no);
    this.#running ??= this.#run()
      .catch(this.#broke)
      .finally(() => (this.#running = null));
  }

  /** Looks for jobs that were not looked at to their end: after a start, or with a new checklist. */
  async wakeUnjudged(): Promise<void> {
    for (let after = 0; ;) {
      const jobs = await this.#database.rows
        .selectFrom('jobs')
        .innerJoin('checklists', 'checklists.sha256', 'jobs.checklist_sha256')
        .select('jobs.no')
        .where('jobs.no', '>', after)
        .whereRef('jobs.judged', '<', 'jobs.count')
        .orderBy('jobs.no')
        .limit(JOBS_AT_ONCE)
        .execute();
      const last = jobs.at(-1);
      if (last === undefined) return;
      this.wake(jobs.map(({ no }) => no));
      after = last.no;
    }
  }

  /** When nothing waits any more. */
  async rest(): Promise<void> {
    await this.#running;
  }

  async #run(): Promise<void> {
    for (const no of this.#waiting) {
      this.#waiting.delete(no);
      const job = await this.#database.rows
        .selectFrom('jobs')
        .select(['no', 'count', 'judged', 'checklist_sha256'])
        .where('no', '=', no)
        .executeTakeFirst();
      if (job !== undefined && job.judged < job.count) await this.#judge(job);
    }
  }

  async #judge(job: UnjudgedJob): Promise<void> {
    const checklist = await this.#checklist(job.checklist_sha256);
    // It comes after the entries; then this job is looked at again.
    if (checklist === null) return;
    const flags = await findings(this.#database.rows, job, checklist);
    await this.#database.alone(async (rows) => {
      const { numUpdatedRows } = await rows
        .updateTable('jobs')
        .set({ judged: job.count })
        .where('no', '=', job.no)
        .where('judged', '=', job.judged)
        .executeTakeFirst();
      // Another process may have been quicker, and has raised the flags.
      if (numUpdatedRows === 1n) await raise(rows, flags, this.#now());
    });
  }

  async #checklist(sha256: string): Promise<Checklist | null> {
    const kept = this.#checklists.get(sha256);
    if (kept !== undefined) return kept;
    const found = await checklistOf(this.#database.rows, sha256);
    if (found === null) return null;
    if (this.#checklists.size >= MOST_CHECKLISTS) this.#checklists.clear();
    this.#checklists.set(sha256, found.checklist);
    return found.checklist;
  }
}

/** What the main branch breaks, told once for all that is new; or why it cannot be told. */
async function findings(
  rows: Rows,
  { no, count, judged }: UnjudgedJob,
  checklist: Checklist,
): Promise<NewFlag[]> {
  const flag = { job_no: no, idx: null };
  let state = startSafety(checklist);
  const fresh: Violation[] = [];
  for (let seq = 0; seq < count;) {
    const entries = await rows
      .selectFrom('leaves')
      .select('line')
      .where('job_no', '=', no)
      .where('side', '=', 0)
      .where('seq', '>=', seq)
      .where('seq', '<', Math.min(count, seq + ENTRIES_AT_ONCE))
      .orderBy('seq')
      .execute();
    if (entries.length === 0) break;
    for (const { line } of entries) {
      const read = readLine(line, nodePrimitives);
      const event = read.ok ? eventOf(read.value.entry) : read;
      if (!event.ok) {
        const says = `Entry ${seq} says what this program does not understand, so the safety properties could not be looked at. ${event.flaw.says}`;
        return [{ ...flag, code: 'unjudged', says }];
      }
      const stepped = stepSafety(state, event.value);
      state = stepped.state;
      if (seq >= judged) fresh.push(...stepped.violations);
      seq += 1;
    }
    // A long job must not keep everybody else waiting.
    await otherWork();
  }
  const [first] = fresh;
  if (first === undefined) return [];
  const more = fresh.length === 1 ? '' : ` ${fresh.length - 1} more in what came in with it.`;
  const says = `Entry ${first.at}, ${first.property}: ${first.says}${more}`;
  return [{ ...flag, code: 'safety', says }];
}
