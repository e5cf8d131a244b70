/** House limits that the office sets: kept here, and handed out as the file that `stillwire house` writes into a list. */
import { readHouseFile, withHouseLimits, type HouseFile } from '#lib/core/measure/house-limits.ts';
import type { Rows } from '../database/database.ts';
import { checklistOf } from '../files/checklist-shelf.ts';
import { actOf, changed } from '../log/change.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { refused, type Answered } from '../refusal.ts';
import { dayOf } from './days.ts';

export interface HouseLimit {
  readonly checklist: string;
  readonly step: string;
  readonly least: string | null;
  readonly most: string | null;
  readonly by: string;
  readonly at: number;
}

export interface AskedLimit {
  readonly checklist: string;
  readonly step: string;
  /** With its unit, such as `0.2 ohm`; empty for none. */
  readonly least: string;
  readonly most: string;
}

/** A value is taken only where the list itself would take it: stricter where a limit stands. Without values it is taken back. */
export function setLimit(
  { log, now }: { readonly log: OrganisationLog; readonly now: () => number },
  asked: AskedLimit,
  by: string,
): Promise<Answered<object>> {
  return changed(log, async (rows) => {
    const { checklist, step } = asked;
    const [least, most] = [asked.least.trim() || null, asked.most.trim() || null];
    const newest = await rows
      .selectFrom('checklists')
      .select('sha256')
      .where('id', '=', checklist)
      .orderBy('revision', 'desc')
      .limit(1)
      .executeTakeFirst();
    const list = newest === undefined ? null : await checklistOf(rows, newest.sha256);
    if (list === null) return refused(404, 'no-list', 'Nothing was set: this list is not here.');
    if (!list.checklist.steps.some(({ id, do: kind }) => id === step && kind === 'reading'))
      return refused(422, 'no-step', 'Nothing was set: choose a step that takes a reading.');
    if (least !== null || most !== null) {
      const bounds = { ...(least === null ? {} : { least }), ...(most === null ? {} : { most }) };
      const read = readHouseFile(
        fileOf('the firm', by, now(), { [checklist]: { [step]: bounds } }),
      );
      const says = read.ok
        ? withHouseLimits(list.checklist, read.file).refused[0]?.says
        : read.problems[0]?.says;
      if (says !== undefined) return refused(422, 'bad-limit', `Nothing was set: ${says}`);
    }
    const { last } = await rows
      .selectFrom('house_limits')
      .select((is) => is.fn.max('no').as('last'))
      .executeTakeFirstOrThrow();
    await rows
      .insertInto('house_limits')
      .values({ no: (last ?? 0) + 1, checklist, step, least, most, by, at: now() })
      .execute();
    const body = { checklist, least: least ?? '', most: most ?? '', step };
    return actOf('limit.set', body, by, {});
  });
}

/** Those in force, by list and step. */
export async function houseLimits(rows: Rows): Promise<HouseLimit[]> {
  const found = await rows
    .selectFrom('house_limits')
    .leftJoin('accounts', 'accounts.id', 'house_limits.by')
    .selectAll('house_limits')
    .select('accounts.name')
    .orderBy('no')
    .execute();
  const last = new Map(found.map((row) => [`${row.checklist} ${row.step}`, row]));
  return [...last.values()]
    .filter(({ least, most }) => least !== null || most !== null)
    .map(({ checklist, step, least, most, name, by, at }) => ({
      checklist,
      step,
      least,
      most,
      by: name ?? by,
      at,
    }))
    .toSorted((a, b) => (`${a.checklist} ${a.step}` < `${b.checklist} ${b.step}` ? -1 : 1));
}

function fileOf(
  firm: string,
  officer: string,
  now: number,
  limits: HouseFile['limits'],
): HouseFile {
  return { format: 1, firm, officer, issued: dayOf(now), limits, rules: {}, languages: [] };
}

/** The file of house limits, null while none is set. */
export function limitsFile(
  set: readonly HouseLimit[],
  firm: string,
  officer: string,
  now: number,
): HouseFile | null {
  if (set.length === 0) return null;
  const limits: HouseFile['limits'] = {};
  for (const { checklist, step, least, most } of set)
    limits[checklist] = {
      ...limits[checklist],
      [step]: { ...(least === null ? {} : { least }), ...(most === null ? {} : { most }) },
    };
  return fileOf(firm, officer, now, limits);
}
