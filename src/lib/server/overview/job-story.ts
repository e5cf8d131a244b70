/** One job as the office reads it: its entries, its sources over time, what the office said of it. */
import type { Checklist } from '#lib/core/checklist/model.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import type { Rows } from '../database/database.ts';
import { RecordReader } from '../looks/crew-records.ts';
import { lookNo, type Look } from '../looks/look-list.ts';
import { wordsAbout, type Words } from '../looks/words-kept.ts';
import { listed, type ListedJob } from './job-list.ts';
import type { JobView, SourceBand } from '#lib/core/job/view-types.ts';
import { bandsOf, foldOf, viewNow } from './standing-fold.ts';

export interface JobStory {
  readonly job: ListedJob;
  /** Null when its checklist has not come in yet, or an entry is unknown to this program. */
  readonly record: {
    readonly checklist: Checklist;
    readonly events: readonly JobEvent[];
    readonly bands: readonly SourceBand[];
    /** As it stands now. */
    readonly view: JobView | null;
  } | null;
  readonly people: Readonly<Record<string, string>>;
  readonly words: readonly Words[];
  readonly looks: readonly Look[];
  readonly flags: readonly string[];
  /** Digests of the photos that are here whole. */
  readonly photos: readonly string[];
}

export async function jobStory(
  rows: Rows,
  id: string,
  who: { readonly officer: boolean; readonly now: number },
): Promise<JobStory | null> {
  const row = await rows.selectFrom('jobs').selectAll().where('job', '=', id).executeTakeFirst();
  if (row === undefined) return null;
  const [job] = await listed(rows, [row]);
  if (job === undefined) return null;
  const read = await new RecordReader(rows).read(row);
  const fold = read && foldOf(read.checklist, read.events);
  const found = await rows
    .selectFrom('looks')
    .select('no')
    .where('job', '=', id)
    .orderBy('no')
    .limit(50)
    .execute();
  const looks = [];
  for (const { no } of found) looks.push(await lookNo(rows, no, who));
  const flags = await rows
    .selectFrom('flags')
    .select('says')
    .where('job_no', '=', row.no)
    .orderBy('no')
    .limit(50)
    .execute();
  const photos = await rows
    .selectFrom('photo_uses')
    .innerJoin('photos', 'photos.sha256', 'photo_uses.sha256')
    .select('photos.sha256')
    .where('photo_uses.job_no', '=', row.no)
    .where('photos.complete', '=', 1)
    .execute();
  return {
    job,
    record: read && {
      checklist: read.checklist,
      events: read.events,
      bands: bandsOf(read.checklist, read.events),
      view: fold && viewNow(fold, who.now),
    },
    people: await namesIn(rows, read?.events ?? []),
    words: await wordsAbout(rows, { job: id }),
    looks: looks.flatMap((look) => look ?? []),
    flags: flags.map(({ says }) => says),
    photos: photos.map(({ sha256 }) => sha256),
  };
}

async function namesIn(
  rows: Rows,
  events: readonly JobEvent[],
): Promise<Readonly<Record<string, string>>> {
  const ids = new Set(events.map(({ by }) => by));
  for (const event of events)
    if (event.type === 'job.opened') for (const { id } of event.body.people) ids.add(id);
  if (ids.size === 0) return {};
  const known = await rows
    .selectFrom('people')
    .select(['id', 'name'])
    .where('id', 'in', [...ids])
    .execute();
  return Object.fromEntries(known.map(({ id, name }) => [id, name]));
}
