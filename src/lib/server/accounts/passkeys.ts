/** Passkeys (WebAuthn), with user verification, through a maintained library. */
import {
  generateAuthenticationOptions,
  generateRegistrationOptions,
  verifyAuthenticationResponse,
  verifyRegistrationResponse,
} from '@simplewebauthn/server';
import type { AuthenticationResponseJSON, RegistrationResponseJSON } from '@simplewebauthn/server';
import { fromBase64url, textOf, utf8 } from '#lib/core/record/index.ts';
import type { Rows } from '../database/database.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';
import { actOf, changed } from '../log/change.ts';
import type { AccountGround } from './accounts.ts';
import { beginSession } from './sessions.ts';
import type { OfficePerson } from './sessions.ts';

/** Where the browser believes to be: the origin, and its host as the relying party. */
export interface Party {
  readonly origin: string;
  readonly host: string;
}

export function partyOf(origin: string): Party {
  return { origin, host: new URL(origin).hostname };
}

const CHALLENGE_MS = 5 * 60_000;
const NOT_THIS = refused(
  403,
  'bad-passkey',
  'The passkey could not be verified. Nothing was changed; try again, or use the password.',
);

type Ground = AccountGround & { readonly database: { readonly rows: Rows } };

export async function offerRegistration(
  { database: { rows }, now }: Ground,
  person: OfficePerson,
  party: Party,
) {
  const held = await rows
    .selectFrom('passkeys')
    .select('id')
    .where('account', '=', person.id)
    .execute();
  const options = await generateRegistrationOptions({
    rpName: 'Stillwire',
    rpID: party.host,
    userID: utf8(person.id) as Uint8Array<ArrayBuffer>,
    userName: person.login,
    userDisplayName: person.name,
    attestationType: 'none',
    excludeCredentials: held,
    authenticatorSelection: { residentKey: 'required', userVerification: 'required' },
  });
  await keepChallenge(rows, options.challenge, `add ${person.id}`, now());
  return options;
}

export async function addPasskey(
  ground: Ground,
  person: OfficePerson,
  party: Party,
  response: RegistrationResponseJSON,
  label: string,
): Promise<Answered<object>> {
  const { database, log, now } = ground;
  const verified = await quietly(() =>
    verifyRegistrationResponse({
      response,
      expectedChallenge: (challenge) =>
        takeChallenge(database.rows, challenge, `add ${person.id}`, now()),
      expectedOrigin: party.origin,
      expectedRPID: party.host,
      requireUserVerification: true,
    }),
  );
  if (verified?.verified !== true) return NOT_THIS;
  const { id, publicKey, counter } = verified.registrationInfo.credential;
  return changed(log, async (rows) => {
    const known = await rows
      .selectFrom('passkeys')
      .select('id')
      .where('id', '=', id)
      .executeTakeFirst();
    if (known !== undefined) return refused(409, 'known-passkey', 'This passkey is known already.');
    await rows
      .insertInto('passkeys')
      .values({
        id,
        account: person.id,
        public_key: publicKey,
        counter,
        label: label.trim().slice(0, 80) || 'passkey',
        made_at: now(),
        used_at: null,
      })
      .execute();
    return actOf('account.passkeyAdded', { account: person.id }, person.id, {});
  });
}

export function removePasskey(
  { log }: Ground,
  person: OfficePerson,
  id: string,
): Promise<Answered<object>> {
  return changed(log, async (rows) => {
    const { numDeletedRows } = await rows
      .deleteFrom('passkeys')
      .where('id', '=', id)
      .where('account', '=', person.id)
      .executeTakeFirst();
    if (numDeletedRows !== 1n) return refused(404, 'no-passkey', 'There is no such passkey.');
    return actOf('account.passkeyRemoved', { account: person.id }, person.id, {});
  });
}

/** Nobody is named: the passkey itself says whose it is. */
export async function offerSignIn({ database: { rows }, now }: Ground, party: Party) {
  const options = await generateAuthenticationOptions({
    rpID: party.host,
    userVerification: 'required',
  });
  await keepChallenge(rows, options.challenge, 'sign in', now());
  return options;
}

export async function signInWithPasskey(
  { database: { rows }, now }: Ground,
  party: Party,
  response: AuthenticationResponseJSON,
): Promise<Answered<{ readonly token: string; readonly account: string }>> {
  const held = await rows
    .selectFrom('passkeys')
    .innerJoin('accounts', 'accounts.id', 'passkeys.account')
    .select(['passkeys.id', 'passkeys.account', 'passkeys.public_key', 'passkeys.counter'])
    .where('passkeys.id', '=', response.id)
    .where('accounts.disabled_at', 'is', null)
    .executeTakeFirst();
  if (held === undefined || !isOwn(response, held.account)) return NOT_THIS;
  const verified = await quietly(() =>
    verifyAuthenticationResponse({
      response,
      expectedChallenge: (challenge) => takeChallenge(rows, challenge, 'sign in', now()),
      expectedOrigin: party.origin,
      expectedRPID: party.host,
      requireUserVerification: true,
      credential: {
        id: held.id,
        publicKey: new Uint8Array(held.public_key),
        counter: held.counter,
      },
    }),
  );
  if (verified?.verified !== true) return NOT_THIS;
  await rows
    .updateTable('passkeys')
    .set({ counter: verified.authenticationInfo.newCounter, used_at: now() })
    .where('id', '=', held.id)
    .execute();
  const token = await beginSession(rows, held.account, now());
  return answered({ token, account: held.account });
}

/** The handle that the passkey carries is the id of its account. */
function isOwn({ response }: AuthenticationResponseJSON, account: string): boolean {
  if (response.userHandle === undefined) return true;
  return textOf(fromBase64url(response.userHandle) ?? new Uint8Array()) === account;
}

async function keepChallenge(
  rows: Rows,
  challenge: string,
  purpose: string,
  now: number,
): Promise<void> {
  await rows.deleteFrom('challenges').where('ends_at', '<=', now).execute();
  await rows
    .insertInto('challenges')
    .values({ challenge, purpose, account: null, ends_at: now + CHALLENGE_MS })
    .execute();
}

/** Each is good once: taken away in the same act that finds it. */
async function takeChallenge(
  rows: Rows,
  challenge: string,
  purpose: string,
  now: number,
): Promise<boolean> {
  const { numDeletedRows } = await rows
    .deleteFrom('challenges')
    .where('challenge', '=', challenge)
    .where('purpose', '=', purpose)
    .where('ends_at', '>', now)
    .executeTakeFirst();
  return numDeletedRows === 1n;
}

/** The library throws at whatever does not fit; all of it means no. */
async function quietly<T>(verify: () => Promise<T>): Promise<T | null> {
  try {
    return await verify();
  } catch {
    return null;
  }
}
