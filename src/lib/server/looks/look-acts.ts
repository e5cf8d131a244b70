/** Asking, answering, noting and closing a second look: each a signed act, its words beside the log. */
import type { Writing } from '../database/database.ts';
import type { LookTable } from '../database/tables.ts';
import { actOf, changed, type Change } from '../log/change.ts';
import type { ActType } from '../log/act.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { refused, type Answered, type Refused } from '../refusal.ts';
import { PRIVATE_DAYS, PRIVATE_MS } from './look-list.ts';
import { keepWords, wrongWords, type WordKind } from './words-kept.ts';

interface Ground {
  readonly log: OrganisationLog;
  readonly now: () => number;
}

/** How a look may end. None of them is a verdict about anybody. */
export const ENDINGS = ['explained', 'ours', 'talked', 'open'] as const;
export type Ending = (typeof ENDINGS)[number];

type Words = { readonly look: number; readonly text: string };

/** The officer asks the person. */
export const askAbout = (ground: Ground, { look, text }: Words, by: string) =>
  said(ground, { look, text, by, kind: 'ask', type: 'look.asked' }, (row) =>
    row.asked_at === null
      ? { asked_at: ground.now() }
      : refused(409, 'asked', 'This was asked before. Add a note instead.'),
  );

/** The person answers, from a device that carries their key; or the officer writes down what was told. */
export const answerTo = (ground: Ground, { look, text }: Words, by: string) =>
  said(ground, { look, text, by, kind: 'answer', type: 'look.answered' }, (row) =>
    row.asked_at === null
      ? refused(409, 'not-asked', 'Nobody has asked about this yet.')
      : { answered_at: row.answered_at ?? ground.now() },
  );

/** A note of the officer, once the person had the first word. */
export const noteOn = (ground: Ground, { look, text }: Words, by: string) =>
  said(ground, { look, text, by, kind: 'note', type: 'look.noted' }, (row) =>
    personFirst(row, ground.now()),
  );

/** Ends a look. Without asking it may only be put down to our own program or to nothing left to ask. */
export const closeLook = (
  ground: Ground,
  { look, text, as }: Words & { readonly as: string },
  by: string,
) =>
  said(ground, { look, text, by, kind: 'close', type: 'look.closed' }, (row) => {
    const ending = ENDINGS.find((one) => one === as);
    if (ending === undefined) return refused(422, 'no-ending', 'Choose how it ended.');
    if (row.asked_at === null && ending === 'ours')
      return { closed_at: ground.now(), closed_as: ending };
    const early = personFirst(row, ground.now());
    return 'ok' in early ? early : { closed_at: ground.now(), closed_as: ending };
  });

function personFirst(row: LookTable, now: number): Partial<LookTable> | Refused {
  if (row.asked_at === null)
    return refused(409, 'not-asked', 'Ask the person first; they have the first word.');
  if (row.answered_at === null && now - row.asked_at < PRIVATE_MS)
    return refused(
      409,
      'person-first',
      `The person answers first. Without an answer this opens ${PRIVATE_DAYS} days after they were asked.`,
    );
  return {};
}

interface Said extends Words {
  readonly by: string;
  readonly kind: WordKind;
  readonly type: ActType;
}

function said(
  { log, now }: Ground,
  { look, text, by, kind, type }: Said,
  change: (row: LookTable) => Partial<LookTable> | Refused,
): Promise<Answered<object>> {
  return changed(log, async (rows: Writing): Promise<Change<object> | Refused> => {
    const wrong = wrongWords(text);
    if (wrong !== null) return wrong;
    const row = await rows
      .selectFrom('looks')
      .selectAll()
      .where('no', '=', look)
      .where('closed_at', 'is', null)
      .executeTakeFirst();
    if (row === undefined)
      return refused(404, 'no-look', 'There is no such open look; somebody may have closed it.');
    const set = change(row);
    if ('ok' in set) return set as Refused;
    if (Object.keys(set).length > 0)
      await rows.updateTable('looks').set(set).where('no', '=', look).execute();
    const digest = await keepWords(rows, { kind, look, by, at: now(), text });
    return actOf(type, { look, words: digest }, by, {});
  });
}
