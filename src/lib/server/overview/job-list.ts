/** Jobs by state, person, list, time and words, the newest first, page by page. */
import type { Expression, ExpressionBuilder, SqlBool } from 'kysely';
import type { JobStatus } from '#lib/core/job/view-types.ts';
import { disclosedIn } from '#lib/core/record/index.ts';
import type { Rows } from '../database/database.ts';
import type { Tables } from '../database/tables.ts';

export interface JobFilter {
  /** The made-up crew of a demonstration, or everybody else. */
  readonly demo: boolean;
  /** Part of a person's name, of a list's title, or of the long number of a job; empty for all. */
  readonly text: string;
  readonly status: string;
  /** Milliseconds since 1970; null for no end. */
  readonly from: number | null;
  readonly until: number | null;
  /** The place after which to go on, as `next` gave it. */
  readonly after: string;
}

export interface ListedJob {
  readonly no: number;
  readonly job: string;
  readonly demo: boolean;
  readonly checklist: string;
  readonly revision: number;
  readonly title: string;
  readonly status: JobStatus;
  readonly openedAt: number;
  readonly person: string;
  readonly name: string;
  /** As it was told at the start; empty where it is withheld, erased or has not come in. */
  readonly site: string;
  readonly lastAt: number;
  readonly dueAt: number | null;
  readonly entries: number;
  readonly refusals: number;
  readonly forked: boolean;
}

export interface JobPage {
  readonly jobs: readonly ListedJob[];
  /** How many there are in all pages together. */
  readonly total: number;
  /** For the page after this one; empty on the last. */
  readonly next: string;
}

export const JOBS_ON_A_PAGE = 50;
export const STATUSES = [
  'atWork',
  'downTools',
  'parkedUsable',
  'parkedShut',
  'handedBack',
  'refused',
  'evidenceHold',
] as const satisfies readonly JobStatus[];

type Holds = (is: ExpressionBuilder<Tables, 'jobs'>) => Expression<SqlBool>;

export async function jobsFound(
  rows: Rows,
  filter: JobFilter,
  most = JOBS_ON_A_PAGE,
): Promise<JobPage> {
  const holds = await conditionOf(rows, filter);
  const place = placeOf(filter.after);
  const found = await rows
    .selectFrom('jobs')
    .select(LISTED)
    .where(holds)
    .$if(place !== null, (query) =>
      query.where((is) =>
        is.or([
          is('opened_at', '<', place?.at ?? 0),
          is.and([is('opened_at', '=', place?.at ?? 0), is('no', '<', place?.no ?? 0)]),
        ]),
      ),
    )
    .orderBy('opened_at', 'desc')
    .orderBy('no', 'desc')
    .limit(most + 1)
    .execute();
  const { count } = await rows
    .selectFrom('jobs')
    .select((is) => is.fn.countAll<number>().as('count'))
    .where(holds)
    .executeTakeFirstOrThrow();
  const shown = found.slice(0, most);
  const last = shown.at(-1);
  return {
    jobs: await listed(rows, shown),
    total: Number(count),
    next: found.length > most && last !== undefined ? `${last.opened_at}-${last.no}` : '',
  };
}

/** What a line of a list is made from; the rest of a row costs as much again to read. */
export const LISTED = [
  'no',
  'job',
  'demo',
  'checklist',
  'checklist_sha256',
  'revision',
  'status',
  'opened_at',
  'opened_by',
  'last_at',
  'due_at',
  'count',
  'refusals',
  'forked',
] as const satisfies readonly (keyof Tables['jobs'])[];

export type JobRow = Pick<Tables['jobs'], (typeof LISTED)[number]>;

/** Rows with the names, titles and sites that they stand for. */
export async function listed(rows: Rows, found: readonly JobRow[]): Promise<ListedJob[]> {
  if (found.length === 0) return [];
  const people = await rows
    .selectFrom('people')
    .select(['id', 'name'])
    .where('id', 'in', [...new Set(found.map((row) => row.opened_by))])
    .execute();
  const lists = await rows
    .selectFrom('checklists')
    .select(['sha256', 'title'])
    .where('sha256', 'in', [...new Set(found.map((row) => row.checklist_sha256))])
    .execute();
  const names = new Map(people.map(({ id, name }) => [id, name]));
  const titles = new Map(lists.map(({ sha256, title }) => [sha256, title]));
  const sites = await sitesOf(
    rows,
    found.map(({ no }) => no),
  );
  return found.map((row) => ({
    no: row.no,
    job: row.job,
    demo: row.demo === 1,
    checklist: row.checklist,
    revision: row.revision,
    title: titles.get(row.checklist_sha256) ?? row.checklist,
    status: row.status,
    openedAt: row.opened_at,
    person: row.opened_by,
    name: names.get(row.opened_by) ?? row.opened_by,
    site: sites.get(row.no) ?? '',
    lastAt: row.last_at,
    dueAt: row.due_at,
    entries: row.count,
    refusals: row.refusals,
    forked: row.forked === 1,
  }));
}

async function sitesOf(rows: Rows, jobs: readonly number[]): Promise<Map<number, string>> {
  const told = await rows
    .selectFrom('disclosures')
    .select(['job_no', 'encoded'])
    .where('job_no', 'in', jobs)
    .where('seq', '=', 0)
    .execute();
  const sites = new Map<number, string>();
  for (const { job_no, encoded } of told) {
    // It was held against its digest when it came in; a list proves nothing.
    const read = disclosedIn(encoded);
    if (read.ok && read.value.name === 'site' && typeof read.value.value === 'string')
      sites.set(job_no, read.value.value);
  }
  return sites;
}

/** More people or lists of one name than this are not told apart by it. */
const MOST_NAMED = 500;

async function conditionOf(rows: Rows, filter: JobFilter): Promise<Holds> {
  const { demo, status, from, until } = filter;
  const text = filter.text.trim().replaceAll('\u0000', '').slice(0, 100);
  const named = text === '' ? null : await namedSo(rows, text);
  const state = STATUSES.find((one) => one === status);
  return (is) =>
    is.and([
      is('demo', '=', demo ? 1 : 0),
      is('opened_at', '>', Math.max(0, (from ?? 1) - 1)),
      ...(until === null ? [] : [is('opened_at', '<=', until)]),
      ...(state === undefined ? [] : [is('status', '=', state)]),
      ...(named === null
        ? []
        : [
            is.or([
              ...(named.people.length === 0 ? [] : [is('opened_by', 'in', named.people)]),
              ...(named.lists.length === 0 ? [] : [is('checklist', 'in', named.lists)]),
              ...(named.job === '' ? [] : [is('job', 'like', `${named.job}%`)]),
              is('no', '=', -1),
            ]),
          ]),
    ]);
}

async function namedSo(rows: Rows, text: string) {
  const asked = text.toLowerCase();
  const has = (...words: readonly string[]): boolean =>
    words.some((word) => word.toLowerCase().includes(asked));
  const people = await rows.selectFrom('people').select(['id', 'name']).execute();
  const lists = await rows.selectFrom('checklists').select(['id', 'title']).execute();
  return {
    people: people
      .filter(({ id, name }) => has(id, name))
      .map(({ id }) => id)
      .slice(0, MOST_NAMED),
    lists: [...new Set(lists.filter(({ id, title }) => has(id, title)).map(({ id }) => id))].slice(
      0,
      MOST_NAMED,
    ),
    // The long number of a job is written with these signs alone, none of which means more in a pattern.
    job: /^[0-9a-f-]{4,36}$/.test(asked) ? asked : '',
  };
}

function placeOf(after: string): { readonly at: number; readonly no: number } | null {
  const read = /^(\d{1,15})-(\d{1,15})$/.exec(after);
  return read === null ? null : { at: Number(read[1]), no: Number(read[2]) };
}
