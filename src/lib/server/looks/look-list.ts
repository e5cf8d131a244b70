/**
 * Who may see which second look: the officer all, the person those that they were asked, anybody else
 * of the office only once the person had their days to answer.
 */
import type { Finding, Rule } from '#lib/core/screen/finding.ts';
import type { Rows } from '../database/database.ts';
import type { LookTable } from '../database/tables.ts';
import type { ShownThresholds } from './screening.ts';

/** Days that a question stays between the officer and the person. */
export const PRIVATE_DAYS = 14;
export const PRIVATE_MS = PRIVATE_DAYS * 86_400_000;

/** `found`: nobody was asked. `asked`: the person has the word. `answered`. `closed`. */
export type LookStanding = 'found' | 'asked' | 'answered' | 'closed';

export interface Look {
  readonly no: number;
  readonly demo: boolean;
  readonly rule: Rule;
  readonly weight: Finding['weight'];
  readonly person: string;
  /** Name, where it is known. */
  readonly name: string;
  readonly finding: Finding;
  readonly thresholds: ShownThresholds;
  readonly standing: LookStanding;
  readonly foundAt: number;
  readonly askedAt: number | null;
  readonly answeredAt: number | null;
  readonly closedAt: number | null;
  readonly closedAs: string | null;
  /** When others of the office may see it; null while nobody was asked. */
  readonly openFrom: number | null;
}

export interface LookFilter {
  readonly demo: boolean;
  readonly closed: boolean;
  /** The account may ask and answer; else only what is no longer private is listed. */
  readonly officer: boolean;
  readonly rule?: string;
  readonly now: number;
}

export const MOST_LOOKS = 100;

/** In no order of persons: those in which the officer has the word first, then the newest. */
export async function looksFor(rows: Rows, filter: LookFilter): Promise<Look[]> {
  const theirTurn = filter.now - PRIVATE_MS;
  const read = (waiting: boolean | null, most: number) =>
    rows
      .selectFrom('looks')
      .leftJoin('people', 'people.id', 'looks.person')
      .selectAll('looks')
      .select('people.name')
      .where('looks.demo', '=', filter.demo ? 1 : 0)
      .where('looks.closed_at', filter.closed ? 'is not' : 'is', null)
      .$if(!filter.officer, (query) => query.where('asked_at', '<=', theirTurn))
      .$if(filter.rule !== undefined, (query) => query.where('rule', '=', filter.rule ?? ''))
      .$if(waiting !== null, (query) =>
        query.where((is) => {
          const turn = is.or([is('answered_at', 'is not', null), is('asked_at', '<=', theirTurn)]);
          const asked = is('asked_at', 'is not', null);
          return waiting === true ? is.and([asked, turn]) : is.not(is.and([asked, turn]));
        }),
      )
      .orderBy('looks.no', 'desc')
      .limit(most)
      .execute();
  if (filter.closed || !filter.officer) return (await read(null, MOST_LOOKS)).map(lookOfRow);
  const first = await read(true, MOST_LOOKS);
  const more = first.length < MOST_LOOKS ? await read(false, MOST_LOOKS - first.length) : [];
  return [...first, ...more].map(lookOfRow);
}

export async function lookNo(
  rows: Rows,
  no: number,
  who: { readonly officer: boolean; readonly now: number },
): Promise<Look | null> {
  if (!Number.isSafeInteger(no)) return null;
  const row = await rows
    .selectFrom('looks')
    .leftJoin('people', 'people.id', 'looks.person')
    .selectAll('looks')
    .select('people.name')
    .where('looks.no', '=', no)
    .executeTakeFirst();
  if (row === undefined) return null;
  const open = row.asked_at !== null && row.asked_at <= who.now - PRIVATE_MS;
  return who.officer || open ? lookOfRow(row) : null;
}

/** What a person was asked and has not answered, for the device that they carry. */
export async function askedOf(rows: Rows, people: readonly string[]): Promise<Look[]> {
  if (people.length === 0) return [];
  const found = await rows
    .selectFrom('looks')
    .leftJoin('people', 'people.id', 'looks.person')
    .selectAll('looks')
    .select('people.name')
    .where('person', 'in', people)
    .where('asked_at', 'is not', null)
    .where('answered_at', 'is', null)
    .where('closed_at', 'is', null)
    .orderBy('looks.no')
    .limit(MOST_LOOKS)
    .execute();
  return found.map(lookOfRow);
}

/** How many of each rule are open, for the officer alone. */
export async function openByRule(rows: Rows, demo: boolean): Promise<Map<string, number>> {
  const found = await rows
    .selectFrom('looks')
    .select((is) => ['rule', is.fn.countAll<number>().as('count')])
    .where('demo', '=', demo ? 1 : 0)
    .where('closed_at', 'is', null)
    .groupBy('rule')
    .execute();
  return new Map(found.map(({ rule, count }) => [rule, Number(count)]));
}

function lookOfRow(row: LookTable & { readonly name: string | null }): Look {
  const { finding, thresholds } = JSON.parse(row.finding) as {
    finding: Finding;
    thresholds: ShownThresholds;
  };
  return {
    no: row.no,
    demo: row.demo === 1,
    rule: finding.rule,
    weight: finding.weight,
    person: row.person,
    name: row.name ?? row.person,
    finding,
    thresholds,
    standing: standingOf(row),
    foundAt: row.found_at,
    askedAt: row.asked_at,
    answeredAt: row.answered_at,
    closedAt: row.closed_at,
    closedAs: row.closed_as,
    openFrom: row.asked_at === null ? null : row.asked_at + PRIVATE_MS,
  };
}

function standingOf({ asked_at, answered_at, closed_at }: LookTable): LookStanding {
  if (closed_at !== null) return 'closed';
  if (answered_at !== null) return 'answered';
  return asked_at === null ? 'found' : 'asked';
}
