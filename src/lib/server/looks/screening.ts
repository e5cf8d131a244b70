/** Looks through the records of a crew and keeps what is new. Asks nobody: that is a person's to do. */
import type { Finding, Rule } from '#lib/core/screen/finding.ts';
import { programmeFigures, type ProgrammeFigures } from '#lib/core/screen/programme.ts';
import { learnedFrom, screen } from '#lib/core/screen/screen.ts';
import { LEARNING_JOBS, type Thresholds } from '#lib/core/screen/thresholds.ts';
import type { ScreenJob } from '#lib/core/screen/trace.ts';
import type { Database, Rows, Writing } from '../database/database.ts';
import type { PhotoShelf } from '../files/photo-shelf.ts';
import { crewJobs, RecordReader, type StoredJob } from './crew-records.ts';
import { lookAtPhotos, looksOfJob } from './photo-looks.ts';

/** Jobs that are held against each other at once: the newest. */
export const MOST_JOBS = 1000;

export interface Screening {
  readonly jobs: number;
  readonly unread: number;
  readonly fresh: number;
}

interface Ground {
  readonly database: Database;
  readonly photos: PhotoShelf;
  readonly now: () => number;
}

/** @param demo the crew of the demonstrations, which never mixes with the real one */
export async function screenCrew(ground: Ground, demo: boolean): Promise<Screening> {
  const { rows } = ground.database;
  const photos = await lookAtPhotos(rows, ground.photos);
  const reader = new RecordReader(rows);
  const read = new Map<number, ScreenJob | null>();
  const jobsOf = async (stored: readonly StoredJob[]): Promise<ScreenJob[]> => {
    for (const job of stored)
      if (!read.has(job.no)) {
        const found = await reader.read(job);
        read.set(job.no, found && { ...found, looks: await looksOfJob(rows, job.no) });
      }
    return stored.flatMap(({ no }) => read.get(no) ?? []);
  };
  const first = learnedFrom(await jobsOf(await crewJobs(rows, demo, 'asc', LEARNING_JOBS)));
  const newest = await crewJobs(rows, demo, 'desc', MOST_JOBS);
  const jobs = await jobsOf(newest);
  const { findings, thresholds } = screen(jobs, first);
  const unread = newest.length - jobs.length;
  const at = ground.now();
  const fresh = await ground.database.alone(async (tx) => {
    const row = {
      at,
      jobs: jobs.length,
      unread,
      photos,
      thresholds: JSON.stringify(shown(thresholds)),
      figures: JSON.stringify(programmeFigures(jobs)),
    };
    await tx
      .insertInto('screenings')
      .values({ demo: demo ? 1 : 0, ...row })
      .onConflict((on) => on.column('demo').doUpdateSet(row))
      .execute();
    return keep(tx, findings, shown(thresholds), demo, at);
  });
  return { jobs: jobs.length, unread, fresh };
}

export type ShownThresholds = Omit<Thresholds, 'floors'> & {
  readonly floors: Readonly<Record<string, number>>;
};
const shown = (thresholds: Thresholds): ShownThresholds => ({
  ...thresholds,
  floors: Object.fromEntries(thresholds.floors),
});

export interface LastScreening {
  readonly at: number;
  readonly jobs: number;
  readonly unread: number;
  readonly thresholds: ShownThresholds;
  readonly figures: ProgrammeFigures;
}

/** Null while nobody has looked through the records of this crew. */
export async function lastScreening(rows: Rows, demo: boolean): Promise<LastScreening | null> {
  const row = await rows
    .selectFrom('screenings')
    .selectAll()
    .where('demo', '=', demo ? 1 : 0)
    .executeTakeFirst();
  if (row === undefined) return null;
  const { at, jobs, unread, thresholds, figures } = row;
  return {
    at,
    jobs,
    unread,
    thresholds: JSON.parse(thresholds) as ShownThresholds,
    figures: JSON.parse(figures) as ProgrammeFigures,
  };
}

/** Rules about many jobs name the last of them, which changes with every job: once a month is enough. */
const MONTHLY: ReadonlySet<Rule> = new Set(['D8', 'D9', 'D10', 'D18', 'D21', 'D22']);

/** What makes a finding the same one when it is found again. */
export function markOf(
  { rule, job, jobs, person, steps, figures }: Finding,
  month: string,
): string {
  if (rule === 'D20') return `${rule} ${person} ${String(figures['day'])}`;
  if (MONTHLY.has(rule)) return `${rule} ${person} ${String(figures['what'] ?? '')} ${month}`;
  const pair = rule === 'D5' || rule === 'D7' || rule === 'D16' ? (jobs[0] ?? '') : '';
  return `${rule} ${job} ${person} ${steps[0] ?? ''} ${pair}`;
}

async function keep(
  rows: Writing,
  findings: readonly Finding[],
  thresholds: ShownThresholds,
  demo: boolean,
  at: number,
): Promise<number> {
  const { last } = await rows
    .selectFrom('looks')
    .select((is) => is.fn.max('no').as('last'))
    .executeTakeFirstOrThrow();
  let no = last ?? 0;
  const month = new Date(at).toISOString().slice(0, 7);
  for (const finding of findings) {
    // A note is only to know, and asks nobody.
    if (finding.weight === 'note') continue;
    const { numInsertedOrUpdatedRows } = await rows
      .insertInto('looks')
      .values({
        no: no + 1,
        mark: `${demo ? 'demo ' : ''}${markOf(finding, month)}`,
        demo: demo ? 1 : 0,
        rule: finding.rule,
        weight: finding.weight,
        person: finding.person,
        job: finding.job,
        finding: JSON.stringify({ finding, thresholds: { ...thresholds, floors: {} } }),
        found_at: at,
        asked_at: null,
        answered_at: null,
        closed_at: null,
        closed_as: null,
      })
      .onConflict((on) => on.column('mark').doNothing())
      .executeTakeFirst();
    if (numInsertedOrUpdatedRows === 1n) no += 1;
  }
  return no - (last ?? 0);
}
