/** What leaves the office: jobs as a table and as lines, their signed entries, and second looks. */
import { setImmediate as otherWork } from 'node:timers/promises';
import { wordsOf, type Language } from '#lib/core/screen/words.ts';
import type { Rows } from '../database/database.ts';
import { looksFor, type LookFilter } from '../looks/look-list.ts';
import { csvLine, type Cell } from './csv.ts';
import { jobsFound, type JobFilter, type ListedJob } from './job-list.ts';

const AT_ONCE = 500;

/** All jobs of a filter, page by page. */
export async function* everyJob(rows: Rows, filter: JobFilter): AsyncGenerator<ListedJob> {
  let after = '';
  do {
    const { jobs, next } = await jobsFound(rows, { ...filter, after }, AT_ONCE);
    yield* jobs;
    after = next;
    // A long export must not keep everybody else waiting.
    await otherWork();
  } while (after !== '');
}

const COLUMNS: Readonly<Record<string, (job: ListedJob) => Cell>> = {
  demonstration: ({ demo }) => demo,
  job: ({ job }) => job,
  checklist: ({ checklist }) => checklist,
  revision: ({ revision }) => revision,
  title: ({ title }) => title,
  status: ({ status }) => status,
  opened: ({ openedAt }) => timeOf(openedAt),
  person: ({ person }) => person,
  name: ({ name }) => name,
  site: ({ site }) => site,
  last: ({ lastAt }) => timeOf(lastAt),
  due: ({ dueAt }) => timeOf(dueAt),
  entries: ({ entries }) => entries,
  refusedTries: ({ refusals }) => refusals,
  twoStories: ({ forked }) => forked,
};

const timeOf = (ms: number | null): string | null =>
  ms === null || ms <= 0 ? null : new Date(ms).toISOString();

export async function* jobsAsCsv(rows: Rows, filter: JobFilter): AsyncGenerator<string> {
  yield csvLine(Object.keys(COLUMNS));
  for await (const job of everyJob(rows, filter))
    yield csvLine(Object.values(COLUMNS).map((cell) => cell(job)));
}

export async function* jobsAsLines(rows: Rows, filter: JobFilter): AsyncGenerator<string> {
  for await (const job of everyJob(rows, filter)) {
    const told = Object.entries(COLUMNS).map(([name, cell]) => [name, cell(job)] as const);
    yield `${JSON.stringify(Object.fromEntries(told))}\n`;
  }
}

/** The lines as they were signed, job by job; each says of itself which job and whether it is a demonstration. */
export async function* entriesAsLines(rows: Rows, filter: JobFilter): AsyncGenerator<string> {
  const text = new TextDecoder();
  for await (const { no, demo } of everyJob(rows, filter)) {
    const lines = await rows
      .selectFrom('leaves')
      .select('line')
      .where('job_no', '=', no)
      .where('side', '=', 0)
      .orderBy('seq')
      .execute();
    for (const { line } of lines)
      yield `{"demonstration":${demo},"line":${text.decode(new Uint8Array(line))}}\n`;
  }
}

export async function* looksAsCsv(
  rows: Rows,
  filter: LookFilter,
  language: Language,
): AsyncGenerator<string> {
  yield csvLine(['demonstration', 'look', 'rule', 'asks', 'innocent', 'person', 'job', 'standing']);
  for (const look of await looksFor(rows, filter)) {
    const { asks, innocent } = wordsOf(look.finding, language);
    const { demo, no, rule, name, finding, standing } = look;
    yield csvLine([demo, no, rule, asks, innocent, name, finding.job, standing]);
  }
}
