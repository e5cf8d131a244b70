/** What is kept by its day: training of people, instruments, gloves. */
import type { Rows } from '../database/database.ts';
import { actOf, changed } from '../log/change.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { eventsOfType } from '../looks/entries-of-type.ts';
import { refused, type Answered } from '../refusal.ts';
import { daysUntil, isDay } from './days.ts';

export const KEEPING_KINDS = ['training', 'instrument', 'gloves'] as const;
export type KeepingKind = (typeof KEEPING_KINDS)[number];

export interface NewKeeping {
  readonly kind: string;
  readonly label: string;
  readonly person: string | null;
  readonly doneDay: string;
  /** Empty for what does not run out. */
  readonly dueDay: string;
}

export interface Keeping {
  /** Null for what is only known from the records of jobs. */
  readonly no: number | null;
  readonly kind: KeepingKind;
  readonly label: string;
  readonly name: string | null;
  readonly doneDay: string | null;
  readonly dueDay: string | null;
  readonly left: number | null;
}

interface Ground {
  readonly log: OrganisationLog;
  readonly now: () => number;
}

export function keepByDay(
  { log, now }: Ground,
  asked: NewKeeping,
  by: string,
): Promise<Answered<object>> {
  return changed(log, async (rows) => {
    const kind = KEEPING_KINDS.find((one) => one === asked.kind);
    const label = asked.label.trim();
    if (kind === undefined || label === '' || label.length > 200)
      return refused(
        422,
        'bad-keeping',
        'Nothing was kept: say what it is, in 200 letters at most.',
      );
    const due = asked.dueDay === '' ? null : asked.dueDay;
    if (!isDay(asked.doneDay) || (due !== null && (!isDay(due) || due < asked.doneDay)))
      return refused(
        422,
        'bad-day',
        'Nothing was kept: both days have to be dates, and the due day not before the other.',
      );
    if (kind === 'training' && asked.person === null)
      return refused(422, 'no-person', 'Nothing was kept: say whose training it was.');
    const { last } = await rows
      .selectFrom('keepings')
      .select((is) => is.fn.max('no').as('last'))
      .executeTakeFirstOrThrow();
    const no = (last ?? 0) + 1;
    await rows
      .insertInto('keepings')
      .values({
        no,
        kind,
        label: label.replaceAll('\u0000', ''),
        person: asked.person,
        done_day: asked.doneDay,
        due_day: due,
        by,
        at: now(),
        ended_at: null,
      })
      .execute();
    const body = {
      done: asked.doneDay,
      due: due ?? '',
      keeping: no,
      kind,
      person: asked.person ?? '',
    };
    return actOf('keeping.made', body, by, {});
  });
}

/** It is out of use, or was replaced by a newer line. */
export function endKeeping(
  { log, now }: Ground,
  no: number,
  by: string,
): Promise<Answered<object>> {
  return changed(log, async (rows) => {
    const { numUpdatedRows } = await rows
      .updateTable('keepings')
      .set({ ended_at: now() })
      .where('no', '=', no)
      .where('ended_at', 'is', null)
      .executeTakeFirst();
    if (numUpdatedRows !== 1n) return refused(404, 'no-keeping', 'It was ended before.');
    return actOf('keeping.ended', { keeping: no }, by, {});
  });
}

/** What is due first comes first; instruments also as the newest jobs name them. */
export async function keepings(rows: Rows, now: number): Promise<Keeping[]> {
  const found = await rows
    .selectFrom('keepings')
    .leftJoin('people', 'people.id', 'keepings.person')
    .selectAll('keepings')
    .select('people.name')
    .where('ended_at', 'is', null)
    .orderBy('no', 'desc')
    .limit(500)
    .execute();
  const left = (day: string | null): number | null => (day === null ? null : daysUntil(day, now));
  const kept = found.map((row): Keeping => ({
    no: row.no,
    kind: row.kind,
    label: row.label,
    name: row.name ?? row.person,
    doneDay: row.done_day,
    dueDay: row.due_day,
    left: left(row.due_day),
  }));
  const labels = new Set(kept.map(({ label }) => label));
  const meters = new Map<string, string>();
  for (const { event } of await eventsOfType(rows, 'job.opened', 300)) {
    if (event.type !== 'job.opened') continue;
    for (const { id, due } of event.body.instruments)
      if (!meters.has(id) && !labels.has(id)) meters.set(id, due);
  }
  const named = [...meters].map(([label, due]): Keeping => {
    const dueDay = isDay(due) ? due : null;
    const kind = 'instrument' as const;
    return { no: null, kind, label, name: null, doneDay: null, dueDay, left: left(dueDay) };
  });
  return [...kept, ...named].toSorted((a, b) => (a.left ?? 1e9) - (b.left ?? 1e9));
}
