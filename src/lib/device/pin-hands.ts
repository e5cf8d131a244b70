/**
 * The hands of people who share a device that is another's: each opens with their own PIN, for one act or
 * for as long as they hold the device.
 */
import type { Connection } from './connection.ts';
import {
  forgetHand,
  handOf,
  heldName,
  keyedRow,
  knownHand,
  newPair,
  publicPart,
  rememberHand,
  rowOf,
  signerOf,
} from './keys.ts';
import type { Hand, PublicKey } from './keys.ts';
import { countTry, openKey, pinWait, sealKey } from './pins.ts';
import type { KeyRow, PersonRow } from './schema.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

/** Keeps somebody here with a key that only their PIN opens; it is open until `shutHand`. */
export async function enrolWithPin(
  connection: Connection,
  person: PersonRow,
  { enrolledBy, pin, pair: given }: PinEnrolment,
): Promise<Result<PublicKey>> {
  const pair = given === undefined ? await newPair(true) : done(given);
  if (!pair.ok) return pair;
  const keyed = await keyedRow(person.id, enrolledBy, pair.value.publicKey);
  if (!keyed.ok) return keyed;
  const row: KeyRow = { ...keyed.value, sealed: await sealKey(pair.value.privateKey, pin) };
  const kept = await connection.write(['keys', 'people'], async (tx) => {
    const keys = tx.objectStore('keys');
    const [had] = await keys.index('person').getAll(person.id);
    if (had !== undefined) return KNOWN(person.id);
    await tx.objectStore('people').put(person);
    await keys.add(row);
    return done(publicPart(row));
  });
  const opened = kept.ok ? await openHand(connection, person.id, pin) : kept;
  return opened.ok ? kept : opened;
}

export interface PinEnrolment {
  /** Person id. */
  readonly enrolledBy: string;
  /** Four to eight digits. */
  readonly pin: string;
  /** A pair made before, its private half extractable. */
  readonly pair?: CryptoKeyPair;
}

const KNOWN = (person: string) =>
  failed(
    'no-key',
    `“${person}” has a key on this device already, and a person keeps theirs. Nothing was written. Join by that name, or by another one.`,
  );

/** Whether somebody's key waits for their PIN. */
export async function isShut(connection: Connection, person: string): Promise<boolean> {
  const hand = await signerOf(connection, person);
  return !hand.ok && hand.trouble.code === 'pin-needed';
}

/** `wrong`: another PIN; `wait`: too many wrong ones, and none is looked at for `ms`. */
export type Opened =
  { readonly is: 'open' | 'wrong' } | { readonly is: 'wait'; readonly ms: number };

/** Opens somebody's hand with their PIN; it is open until `shutHand`, or until the page is left. */
export async function openHand(
  connection: Connection,
  person: string,
  pin: string,
): Promise<Result<Opened>> {
  const row = await rowOf(connection, person);
  if (!row.ok) return row;
  if (row.value?.sealed === undefined) return done({ is: 'open' });
  const { sealed, thumbprint } = row.value;
  const wait = await pinWait(connection, thumbprint, Date.now());
  if (!wait.ok) return wait;
  if (wait.value > 0) return done({ is: 'wait', ms: wait.value });
  const key = await openKey(sealed, pin);
  const counted = await countTry(connection, thumbprint, key !== null, Date.now());
  if (!counted.ok) return counted;
  if (key === null) return done({ is: 'wrong' });
  const hand = handOf(row.value, key);
  rememberHand(connection, hand);
  opened.set(hand, key);
  return done({ is: 'open' });
}

/** Keys that a PIN has opened on this page, to be kept if their person takes the device. */
const opened = new WeakMap<Hand, CryptoKey>();

/** Their hand stays open over page loads, for as long as they hold the device. */
export async function keepHandOpen(connection: Connection, person: string): Promise<Result<void>> {
  const hand = knownHand(connection, person);
  const key = hand && opened.get(hand);
  if (hand === undefined || key === undefined) return done(undefined);
  return connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').put(key, heldName(hand.key));
    return done(undefined);
  });
}

/** From here on it takes their PIN again; nothing where it never did. */
export async function shutHand(connection: Connection, person: string): Promise<Result<void>> {
  const row = await rowOf(connection, person);
  if (!row.ok) return row;
  const shut = row.value;
  if (shut?.sealed === undefined) return done(undefined);
  forgetHand(connection, person);
  return connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').delete(heldName(shut.thumbprint));
    return done(undefined);
  });
}
