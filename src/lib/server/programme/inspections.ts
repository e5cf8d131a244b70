/**
 * Periodic inspections of the lists: 29 CFR 1910.147(c)(6). At least once a year, by an authorized person
 * who does not use the procedure inspected, certified with four facts: the machine, the date, the people
 * included, and who inspected.
 */
import type { Rows } from '../database/database.ts';
import { actOf, changed } from '../log/change.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { openedWords, sealedWords, wrongWords } from '../looks/words-kept.ts';
import { refused, type Answered } from '../refusal.ts';
import { daysUntil, dayOf, isDay, yearAfter } from './days.ts';

export const RULE = '29 CFR 1910.147(c)(6)';

export interface NewInspection {
  readonly checklist: string;
  readonly day: string;
  /** Id of an account or a person. */
  readonly inspector: string;
  readonly people: readonly string[];
  /** On which the procedure was being used. */
  readonly machine: string;
  readonly found: string;
}

export interface Inspection {
  readonly no: number;
  readonly checklist: string;
  readonly title: string;
  readonly revision: number;
  readonly sha256: string;
  readonly day: string;
  readonly dueDay: string;
  readonly inspector: string;
  readonly people: readonly string[];
  readonly machine: string;
  readonly found: string;
  readonly by: string;
  readonly at: number;
  readonly digest: string;
}

export interface ListDue {
  readonly checklist: string;
  readonly title: string;
  readonly jobs: number;
  /** Day of the last inspection; null for none. */
  readonly last: string | null;
  readonly due: string | null;
  /** Whole days; negative when overdue, null without any inspection. */
  readonly left: number | null;
  /** It was inspected in an earlier revision than the one used last. */
  readonly revised: boolean;
}

/** Every list that jobs ran on; those that wait longest first. */
export async function listsDue(rows: Rows, demo: boolean, now: number): Promise<ListDue[]> {
  const used = await rows
    .selectFrom('jobs')
    .select((is) => [
      'checklist',
      'checklist_sha256',
      'revision',
      is.fn.countAll<number>().as('jobs'),
    ])
    .where('demo', '=', demo ? 1 : 0)
    .where('checklist', '!=', '')
    .groupBy(['checklist', 'checklist_sha256', 'revision'])
    .execute();
  // Looked up afterwards: with the title in the grouping every job would be held against its list.
  const known = await rows.selectFrom('checklists').select(['sha256', 'title']).execute();
  const titles = new Map(known.map(({ sha256, title }) => [sha256, title]));
  const lists = used.map((one) => ({ ...one, title: titles.get(one.checklist_sha256) ?? null }));
  const inspected = await rows
    .selectFrom('inspections')
    .select(['checklist', 'sha256', 'day'])
    .orderBy('day')
    .execute();
  const last = new Map(inspected.map((one) => [one.checklist, one]));
  const found = [...Map.groupBy(lists, ({ checklist }) => checklist)].map(([checklist, some]) => {
    const newest = some.toSorted((a, b) => b.revision - a.revision)[0];
    const before = last.get(checklist);
    const due = before === undefined ? null : yearAfter(before.day);
    return {
      checklist,
      title: newest?.title ?? checklist,
      jobs: some.reduce((sum, one) => sum + Number(one.jobs), 0),
      last: before?.day ?? null,
      due,
      left: due === null ? null : daysUntil(due, now),
      revised: before !== undefined && before.sha256 !== newest?.checklist_sha256,
    };
  });
  return found.toSorted((a, b) => (a.left ?? -1e6) - (b.left ?? -1e6));
}

/** Refuses an inspector who wrote in a job on this list within the year before. */
export function keepInspection(
  { log, now }: { readonly log: OrganisationLog; readonly now: () => number },
  asked: NewInspection,
  by: string,
): Promise<Answered<{ readonly no: number }>> {
  return changed(log, async (rows) => {
    const wrong = wrongWords(asked.machine) ?? wrongWords(asked.found);
    if (wrong !== null) return wrong;
    if (!isDay(asked.day) || asked.day > dayOf(now()))
      return refused(422, 'bad-day', 'Nothing was kept: the day has to be a date up to today.');
    const list = await rows
      .selectFrom('jobs')
      .select('checklist_sha256')
      .where('checklist', '=', asked.checklist)
      .orderBy('opened_at', 'desc')
      .limit(1)
      .executeTakeFirst();
    if (list === undefined)
      return refused(404, 'no-list', 'Nothing was kept: no job ran on this list.');
    if (asked.people.length === 0)
      return refused(422, 'no-people', 'Nothing was kept: name the people who were included.');
    if (asked.people.includes(asked.inspector) || (await usesIt(rows, asked)))
      return refused(
        422,
        'uses-it',
        `Nothing was kept: the inspector has worked by this list within the year before. ${RULE} asks for an authorized person who does not use it.`,
      );
    const { last } = await rows
      .selectFrom('inspections')
      .select((is) => is.fn.max('no').as('last'))
      .executeTakeFirstOrThrow();
    const no = (last ?? 0) + 1;
    const { digest, encoded } = sealedWords(
      JSON.stringify({ machine: asked.machine.trim(), found: asked.found.trim() }),
    );
    await rows
      .insertInto('inspections')
      .values({
        no,
        checklist: asked.checklist,
        sha256: list.checklist_sha256,
        day: asked.day,
        inspector: asked.inspector,
        people: JSON.stringify(asked.people),
        digest,
        encoded,
        by,
        at: now(),
      })
      .execute();
    const { checklist, day, inspector, people } = asked;
    const body = {
      checklist,
      day,
      inspection: no,
      inspector,
      people: [...people],
      sha256: list.checklist_sha256,
      words: digest,
    };
    return actOf('inspection.made', body, by, { no });
  });
}

async function usesIt(rows: Rows, { checklist, inspector, day }: NewInspection): Promise<boolean> {
  const until = Date.parse(`${day}T23:59:59Z`);
  const used = await rows
    .selectFrom('leaves')
    .innerJoin('jobs', 'jobs.no', 'leaves.job_no')
    .select('leaves.idx')
    .where('leaves.by', '=', inspector)
    .where('leaves.at', '>', until - 366 * 86_400_000)
    .where('leaves.at', '<=', until)
    .where('jobs.checklist', '=', checklist)
    .limit(1)
    .executeTakeFirst();
  return used !== undefined;
}

/** The newest first; one of them by its number. */
export async function inspections(rows: Rows, no?: number): Promise<Inspection[]> {
  const found = await rows
    .selectFrom('inspections')
    .leftJoin('checklists', 'checklists.sha256', 'inspections.sha256')
    .selectAll('inspections')
    .select(['checklists.title', 'checklists.revision'])
    .$if(no !== undefined, (query) => query.where('inspections.no', '=', no ?? 0))
    .orderBy('inspections.no', 'desc')
    .limit(200)
    .execute();
  const names = await namesOf(rows);
  const nameOf = (id: string): string => names.get(id) ?? id;
  return found.map((row) => {
    const words = JSON.parse(openedWords(row.encoded) ?? '{}') as Partial<
      Record<'machine' | 'found', string>
    >;
    return {
      no: row.no,
      checklist: row.checklist,
      title: row.title ?? row.checklist,
      revision: row.revision ?? 0,
      sha256: row.sha256,
      day: row.day,
      dueDay: yearAfter(row.day),
      inspector: nameOf(row.inspector),
      people: (JSON.parse(row.people) as string[]).map(nameOf),
      machine: words.machine ?? '',
      found: words.found ?? '',
      by: nameOf(row.by),
      at: row.at,
      digest: row.digest,
    };
  });
}

/** Names of people and accounts by id. */
export async function namesOf(rows: Rows): Promise<Map<string, string>> {
  const people = await rows.selectFrom('people').select(['id', 'name']).execute();
  const accounts = await rows.selectFrom('accounts').select(['id', 'name']).execute();
  return new Map([...people, ...accounts].map(({ id, name }) => [id, name]));
}
