/**
 * What the office asks most, over a filled SQLite store: the median time of each question, and how it
 * grows from a tenth of the store to the whole; beside each a bare read of as many entries of a covering index.
 *
 *     node tests/bench/audit.ts [--jobs 100000] [--entries 10000000] [--folder DIR] [--keep]
 *
 * Prints JSON: the slowest question first. The rows are as ingest leaves them, but their lines are made-up
 * bytes: nothing here reads a line but the timeline of a job, which only fetches them.
 */
import { randomBytes } from 'node:crypto';
import { existsSync, mkdirSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { DatabaseSync } from 'node:sqlite';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { sql } from 'kysely';
import { Database } from '#lib/server/database/database.ts';
import { coveringRead, rowsIn } from './covering-read.ts';
import type { Rows } from '#lib/server/database/database.ts';
import { openFlags } from '#lib/server/flags.ts';
import { listDevices } from '#lib/server/devices/device-list.ts';
import { jobHeads } from '#lib/server/devices/job-heads.ts';
import { MOST_OPEN, newestIn, OPEN, rowsOf } from '#lib/server/overview/now.ts';

const { values } = parseArgs({
  options: {
    jobs: { type: 'string', default: '100000' },
    entries: { type: 'string', default: '10000000' },
    folder: { type: 'string' },
    keep: { type: 'boolean', default: false },
  },
});
const [jobs, entries] = [Number(values.jobs), Number(values.entries)];
const BEGAN = Date.UTC(2020, 0, 1);
const DAY_MS = 24 * 3600 * 1000;
const SPAN_MS = 6 * 365 * DAY_MS;
const PEOPLE = 200;
const LISTS = 15;
const ROUNDS = 9;
const GOAL_MS = 100;

const person = (no: number) => `p${no % PEOPLE}`;
/** One in twenty of the last thousand jobs is at work; before them nearly all are handed back. */
function statusOf(no: number, all: number): string {
  if (all - no < 1000)
    return no % 20 === 0 ? 'atWork' : no % 20 === 1 ? 'parkedShut' : 'handedBack';
  return no % 97 === 0 ? 'refused' : 'handedBack';
}
function typeOf(seq: number, last: number): string {
  if (seq === 0) return 'job.opened';
  if (seq === last) return 'job.closed';
  return seq % 25 === 7 ? 'try.refused' : 'step.done';
}

/** Jobs from `from` on to `upTo`, each with its share of the entries. */
function fill(file: string, from: number, upTo: number, each: number): void {
  const store = new DatabaseSync(file);
  // Only for filling: what is measured later runs as the server does.
  store.exec('pragma synchronous = off; pragma cache_size = -262144; pragma journal_mode = wal');
  const job = store.prepare(
    `insert into jobs values (${Array.from({ length: 19 }, () => '?').join(',')})`,
  );
  const leaf = store.prepare(
    `insert into leaves (idx, hash, kind, job_no, seq, side, type, "by", at, received_at, line)
     values (?, ?, 'entry', ?, ?, 0, ?, ?, ?, ?, ?)`,
  );
  const flag = store.prepare(
    'insert into flags (no, code, job_no, idx, says, raised_at, settled_at) values (?,?,?,?,?,?,?)',
  );
  const use = store.prepare('insert into photo_uses (sha256, job_no) values (?, ?)');
  const noise = randomBytes(1 << 20);
  for (let first = from; first < upTo; first += 200) {
    store.exec('begin');
    for (let no = first; no < Math.min(upTo, first + 200); no += 1) {
      const at = BEGAN + Math.floor((no / jobs) * SPAN_MS);
      const [by, status] = [person(no * 7), statusOf(no, jobs)];
      const due = status === 'parkedShut' ? at + 3 * DAY_MS : null;
      const id = `00000000-0000-7000-8000-${String(no).padStart(12, '0')}`;
      const list = `list-${no % LISTS}`;
      job.run(
        ...[no, id, `d-${no % 50}`, each, noise.subarray(no % 1000, (no % 1000) + 32), list, 3],
        ...['ab'.repeat(32), 0, status, at, by, at + 3_600_000, by, at, due, no % 5, 0, each],
      );
      for (let seq = 0; seq < each; seq += 1) {
        const idx = no * each + seq;
        const place = (idx * 131) % (noise.length - 700);
        const when = at + seq * 30_000;
        leaf.run(
          ...[idx, noise.subarray(place, place + 32), no, seq, typeOf(seq, each - 1)],
          ...[person(no * 7 + (seq % 2)), when, when + 5000],
          noise.subarray(place, place + 500 + (idx % 100)),
        );
      }
      if (no % 40 === 0) {
        const settled = jobs - no < 4000 ? null : at + DAY_MS;
        flag.run(
          no,
          'safety',
          no,
          no * each,
          'Entry 5, P2: made up for this measure.',
          at,
          settled,
        );
      }
      for (let photo = 0; photo < 2; photo += 1)
        use.run(`${String(no).padStart(60, '0')}${String(photo).padStart(4, '0')}`, no);
    }
    store.exec('commit');
  }
  store.exec('analyze');
  store.close();
}

type Question = (rows: Rows, now: number) => Promise<unknown>;

const summary = ['no', 'job', 'checklist', 'status', 'opened_by', 'last_at', 'due_at'] as const;

/** The questions of the pages, each as a page asks it: the newest hundred, one person, one month. */
const questions: Readonly<Record<string, Question>> = {
  'open jobs, the newest first': async (rows) =>
    rowsOf(rows, await newestIn(rows, false, OPEN, MOST_OPEN + 1)),
  'how many jobs are in each state': (rows) =>
    rows
      .selectFrom('jobs')
      .select((is) => ['status', is.fn.countAll<number>().as('count')])
      .groupBy('status')
      .execute(),
  'jobs of a person in 30 days': (rows, now) =>
    rows
      .selectFrom('jobs')
      .select(summary)
      .where('opened_by', '=', 'p7')
      .where('opened_at', '>=', now - 30 * DAY_MS)
      .orderBy('opened_at', 'desc')
      .limit(100)
      .execute(),
  'jobs on a checklist, the newest first': (rows) =>
    rows
      .selectFrom('jobs')
      .select(summary)
      .where('checklist', '=', 'list-3')
      .orderBy('opened_at', 'desc')
      .limit(100)
      .execute(),
  'what is overdue': (rows, now) =>
    rows
      .selectFrom('jobs')
      .select(summary)
      .where('status', 'in', ['parkedShut', 'parkedUsable'])
      .where('due_at', '<', now)
      .orderBy('due_at')
      .limit(100)
      .execute(),
  'the timeline of a job': (rows) =>
    rows
      .selectFrom('leaves')
      .select(['idx', 'seq', 'type', 'by', 'at', 'line'])
      .where('job_no', '=', Math.floor(jobs / 20))
      .orderBy('seq')
      .execute(),
  'what a person did in 30 days': (rows, now) =>
    rows
      .selectFrom('leaves')
      .select((is) => ['type', is.fn.countAll<number>().as('count')])
      .where('by', '=', 'p7')
      .where('at', '>=', now - 30 * DAY_MS)
      .groupBy('type')
      .execute(),
  'refused tries of a week, the newest first': (rows, now) =>
    rows
      .selectFrom('leaves')
      .select(['idx', 'job_no', 'seq', 'by', 'at'])
      .where('type', '=', 'try.refused')
      .where('at', '>=', now - 7 * DAY_MS)
      .orderBy('at', 'desc')
      .limit(200)
      .execute(),
  'what came in last': (rows) =>
    rows
      .selectFrom('leaves')
      .select(['idx', 'type', 'by', 'at'])
      .orderBy('idx', 'desc')
      .limit(100)
      .execute(),
  'what waits to be looked at': (rows) => openFlags(rows),
  'devices and keys': (rows) => listDevices(rows),
  'how far the server has ten jobs': (rows) =>
    jobHeads(
      rows,
      Array.from(
        { length: 10 },
        (_, at) => `00000000-0000-7000-8000-${String(at * 37).padStart(12, '0')}`,
      ),
    ),
};

interface Times {
  readonly ms: number;
  /** A bare read of as many entries of a covering index. */
  readonly readMs: number;
  /** How many that is. */
  readonly rows: number;
}

const middle = (times: readonly number[]): number =>
  [...times].sort((a, b) => a - b)[Math.floor(times.length / 2)] ?? 0;

/** The two in turn. */
async function medians(ask: () => Promise<unknown>, file: string): Promise<Times> {
  const rows = rowsIn(await ask());
  const bare = coveringRead(file, rows);
  const [asked, read]: [number[], number[]] = [[], []];
  for (let round = 0; round < ROUNDS; round += 1) {
    const began = performance.now();
    await ask();
    const between = performance.now();
    bare.read();
    asked.push(between - began);
    read.push(performance.now() - between);
  }
  bare.close();
  return { ms: Number(middle(asked).toFixed(2)), readMs: Number(middle(read).toFixed(3)), rows };
}

async function timesOf(database: Database, share: number): Promise<Record<string, Times>> {
  const now = BEGAN + share * SPAN_MS;
  const times: Record<string, Times> = {};
  for (const [name, ask] of Object.entries(questions))
    times[name] = await medians(() => ask(database.rows, now), file);
  return times;
}

const folder = values.folder ?? mkdtempSync(join(tmpdir(), 'stillwire-audit-'));
mkdirSync(folder, { recursive: true });
const file = join(folder, 'records.sqlite');
const each = Math.max(2, Math.floor(entries / jobs));
const tenth = Math.floor(jobs / 10);
const isFilled = existsSync(file);
const database = await Database.open({ kind: 'sqlite', file });
try {
  const began = performance.now();
  const says = (what: string): void => void process.stderr.write(`  audit: ${what} …\n`);
  if (!isFilled) says(`filling ${tenth} jobs, and asking`);
  if (!isFilled) fill(file, 0, tenth, each);
  const small = isFilled ? null : await timesOf(database, 0.1);
  if (!isFilled) says(`filling ${jobs} jobs, and asking`);
  if (!isFilled) fill(file, tenth, jobs, each);
  const filled = Math.round((performance.now() - began) / 1000);
  const whole = await timesOf(database, 1);
  const { count } = await database.rows
    .selectFrom('leaves')
    .select(sql<number>`max(idx) + 1`.as('count'))
    .executeTakeFirstOrThrow();
  const told = Object.entries(whole)
    .sort(([, one], [, other]) => other.ms - one.ms)
    .map(([name, times]) => ({
      name,
      ...times,
      ...(small === null ? {} : { msAtOneTenth: small[name]?.ms }),
      holds: times.ms < GOAL_MS,
    }));
  process.stdout.write(
    `${JSON.stringify(
      {
        slowest: told[0]?.ms,
        goalMs: GOAL_MS,
        holds: told.every(({ holds }) => holds),
        jobs,
        entries: count,
        gigabytes: Number((statSync(file).size / 1e9).toFixed(2)),
        secondsToFill: filled,
        megabytes: Math.round(process.resourceUsage().maxRSS / 1000),
        questions: told,
      },
      null,
      2,
    )}\n`,
  );
} finally {
  await database.close();
  if (!values.keep) rmSync(folder, { recursive: true, force: true, maxRetries: 3 });
}
