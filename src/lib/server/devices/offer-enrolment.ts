/** The office lets a device in: a code that is good once, for a few minutes, for named people. */
import type { Database } from '../database/database.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';
import { freshCode, plainCode, tokenHash } from '../secrets.ts';

export const CODE_MINUTES = 15;

/** An id as it stands in entries for ever: one short word. */
const PERSON_ID = /^[a-z0-9][a-z0-9.-]{0,63}$/;

export interface Offer {
  /** What the office calls the device. */
  readonly label: string;
  /** Whose keys may be enrolled; people who are new here get their names with it. */
  readonly people: readonly { readonly id: string; readonly name: string }[];
  /** Whether people may be added whose ids are unknown here. */
  readonly newcomers: boolean;
}

export interface Offered {
  /** `7QF2K-M9XAP`; shown once, never stored. */
  readonly code: string;
  readonly endsAt: number;
}

export async function offerEnrolment(
  { database, log, now }: { database: Database; log: OrganisationLog; now: () => number },
  offer: Offer,
  by: string,
): Promise<Answered<Offered>> {
  const label = offer.label.trim();
  if (label === '' || label.length > 80)
    return refused(422, 'bad-label', 'Give the device a name of at most 80 letters.');
  const odd = offer.people.find(({ id }) => !PERSON_ID.test(id));
  if (odd !== undefined)
    return refused(
      422,
      'bad-person',
      `“${odd.id}” cannot be the id of a person: small letters, digits, dots and dashes, at most 64.`,
    );
  const nameless = await withoutName(database, offer);
  if (nameless !== null)
    return refused(422, 'bad-person', `“${nameless}” is new here and needs a name.`);
  if (offer.people.length === 0 && !offer.newcomers)
    return refused(422, 'nobody', 'Name the people of the device, or let it bring new ones.');
  const code = freshCode();
  const at = now();
  const endsAt = at + CODE_MINUTES * 60_000;
  const ids = offer.people.map(({ id }) => id);
  const body = { people: ids, newcomers: offer.newcomers };
  await log.act('enrolment.offered', body, by, async (rows) => {
    if (offer.people.length > 0)
      await rows
        .insertInto('people')
        .values(offer.people.map(({ id, name }) => ({ id, name: name.trim(), made_at: at })))
        .onConflict((on) => on.column('id').doNothing())
        .execute();
    await rows
      .insertInto('enrolments')
      .values({
        code_hash: tokenHash(plainCode(code) ?? ''),
        label,
        people: JSON.stringify(ids),
        newcomers: offer.newcomers ? 1 : 0,
        made_by: by,
        made_at: at,
        ends_at: endsAt,
        used_at: null,
      })
      .execute();
  });
  return answered({ code, endsAt });
}

async function withoutName(database: Database, offer: Offer): Promise<string | null> {
  const unnamed = offer.people.filter(({ name }) => name.trim() === '').map(({ id }) => id);
  if (unnamed.length === 0) return null;
  const known = await database.rows
    .selectFrom('people')
    .select('id')
    .where('id', 'in', unnamed)
    .execute();
  return unnamed.find((id) => !known.some((row) => row.id === id)) ?? null;
}
