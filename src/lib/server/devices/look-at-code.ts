/** What a code of the office is for, told to whoever holds it, before anything is enrolled. */
import type { Rows } from '../database/database.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';
import { plainCode, tokenHash } from '../secrets.ts';

export interface CodeMeaning {
  /** What the office calls the device. */
  readonly label: string;
  /** Whose keys it lets in. */
  readonly people: readonly { readonly id: string; readonly name: string }[];
  /** Whether it may bring people who are unknown here. */
  readonly newcomers: boolean;
  readonly endsAt: number;
}

/** Uses nothing up: a code is good until a device comes in with it or its time has run out. */
export async function lookAtCode(
  rows: Rows,
  typed: string,
  now: number,
): Promise<Answered<CodeMeaning>> {
  const code = plainCode(typed);
  const found =
    code === null
      ? undefined
      : await rows
          .selectFrom('enrolments')
          .select(['label', 'people', 'newcomers', 'ends_at'])
          .where('code_hash', '=', tokenHash(code))
          .where('used_at', 'is', null)
          .where('ends_at', '>', now)
          .executeTakeFirst();
  if (found === undefined) return NOT_GOOD;
  const ids = JSON.parse(found.people) as string[];
  const names =
    ids.length === 0
      ? []
      : await rows.selectFrom('people').select(['id', 'name']).where('id', 'in', ids).execute();
  const people = ids.map((id) => ({ id, name: names.find((one) => one.id === id)?.name ?? id }));
  const { label, newcomers, ends_at: endsAt } = found;
  return answered({ label, people, newcomers: newcomers === 1, endsAt });
}

const NOT_GOOD = refused(
  403,
  'wrong-code',
  'This code is not good: it was mistyped, used already, or has run out. Nothing was changed. Ask the office for a new one.',
);
