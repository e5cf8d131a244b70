/**
 * One person, one key: Ed25519, made here, not extractable.
 *
 * The private seed lies in the browser's profile all the same, so a key makes tampering evident; it
 * does not make theft impossible.
 */
import { checkedKey, thumbprintOf } from '#lib/core/record/index.ts';
import type { Signer } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import { wallTime } from './clock.ts';
import type { Connection } from './connection.ts';
import type { KeyRow, PersonRow } from './schema.ts';
import { done, failed, standing } from './trouble.ts';
import type { Result } from './trouble.ts';

/** A key as others may see it. */
export interface PublicKey {
  readonly thumbprint: string;
  readonly person: string;
  /** 32 bytes. */
  readonly publicKey: Uint8Array;
  /** Wall time of enrolment on this device, RFC 3339. */
  readonly since: string;
  /** Person id; the person's own where nobody else was there. */
  readonly enrolledBy: string;
  /** Only their own PIN opens it. */
  readonly pin: boolean;
}

/**
 * Keeps a person on this device and makes their key, unless they have one: that one stays.
 * `no-crypto` where the browser has no Ed25519.
 */
export async function enrol(
  connection: Connection,
  person: PersonRow,
  enrolledBy: string,
): Promise<Result<PublicKey>> {
  const made = await newKey(person.id, enrolledBy);
  if (!made.ok) return made;
  return connection.write(['keys', 'people'], async (tx) => {
    const keys = tx.objectStore('keys');
    const [had] = await keys.index('person').getAll(person.id);
    await tx.objectStore('people').put(person);
    if (had === undefined) await keys.add(made.value);
    return done(publicPart(had ?? made.value));
  });
}

/** The hand of a person: their key, and the act of signing with it. */
export type Hand = Signer & { readonly publicKey: Uint8Array; readonly person: string };

/** The hand of somebody as it was read or opened on this page. */
export function knownHand(connection: Connection, person: string): Hand | undefined {
  return handsRead.get(connection)?.get(person);
}

export function forgetHand(connection: Connection, person: string): void {
  handsRead.get(connection)?.delete(person);
}

/** Hands already read, so that a tap costs one transaction and not two. A person keeps their key. */
const handsRead = new WeakMap<Connection, Map<string, Hand>>();

/** The hand that signs for a person; `no-key` when they were never enrolled here. */
export async function signerOf(connection: Connection, person: string): Promise<Result<Hand>> {
  const hand = knownHand(connection, person);
  if (hand !== undefined) return done(hand);
  const read = await readHand(connection, person);
  if (read.ok) rememberHand(connection, read.value);
  return read;
}

export function rememberHand(connection: Connection, hand: Hand): void {
  const known = handsRead.get(connection) ?? new Map<string, Hand>();
  handsRead.set(connection, known.set(hand.person, hand));
}

async function readHand(connection: Connection, person: string): Promise<Result<Hand>> {
  const found = await rowOf(connection, person);
  if (!found.ok) return found;
  const row = found.value;
  if (row === undefined) {
    return failed(
      'no-key',
      `“${person}” has no signing key on this device, so nothing can be signed for them. Nothing was written. Add them to the people of this device, then do it again.`,
    );
  }
  const kept = row.privateKey === undefined ? await heldKey(connection, row) : done(row.privateKey);
  if (!kept.ok) return kept;
  return kept.value === null ? PIN_NEEDED(person) : done(handOf(row, kept.value));
}

const PIN_NEEDED = (person: string) =>
  failed(
    'pin-needed',
    `The key of “${person}” on this device opens with their own PIN only, and it was not given. Nothing was written and nothing is lost. Have them give it, then do it again.`,
  );

export function handOf({ thumbprint, publicKey, person }: KeyRow, privateKey: CryptoKey): Hand {
  return {
    key: thumbprint,
    publicKey: new Uint8Array(publicKey),
    person,
    sign: async (message) =>
      new Uint8Array(await crypto.subtle.sign('Ed25519', privateKey, message.slice())),
  };
}

/** Setting that keeps the opened key of who holds the device. */
export const heldName = (thumbprint: string) => `hand/${thumbprint}`;

/** The opened key of who holds the device: a page that is loaded again must not take it out of their hand. */
async function heldKey(connection: Connection, row: KeyRow): Promise<Result<CryptoKey | null>> {
  return connection.read(['settings'], async (tx) => {
    const held: unknown = await tx.objectStore('settings').get(heldName(row.thumbprint));
    return done(held instanceof CryptoKey ? held : null);
  });
}

/** The key of a person as it is kept. */
export async function rowOf(
  connection: Connection,
  person: string,
): Promise<Result<KeyRow | undefined>> {
  return connection.read(['keys'], async (tx) =>
    done((await tx.objectStore('keys').index('person').getAll(person))[0]),
  );
}

/** Every public key made on this device, by person and time. */
export async function publicKeys(connection: Connection): Promise<Result<readonly PublicKey[]>> {
  const rows = await connection.read(['keys'], async (tx) =>
    done(await tx.objectStore('keys').getAll()),
  );
  if (!rows.ok) return rows;
  const order = (key: PublicKey) => `${key.person} ${key.since}`;
  return done(rows.value.map(publicPart).sort((a, b) => (order(a) < order(b) ? -1 : 1)));
}

async function newKey(person: string, enrolledBy: string): Promise<Result<KeyRow>> {
  const pair = await newPair(false);
  if (!pair.ok) return pair;
  const { privateKey, publicKey } = pair.value;
  const keyed = await keyedRow(person, enrolledBy, publicKey);
  return keyed.ok ? done({ ...keyed.value, privateKey }) : keyed;
}

/** @param extractable for a private half that is wrapped before it is kept */
export async function newPair(extractable: boolean): Promise<Result<CryptoKeyPair>> {
  try {
    const uses: KeyUsage[] = ['sign', 'verify'];
    return done((await crypto.subtle.generateKey('Ed25519', extractable, uses)) as CryptoKeyPair);
  } catch {
    return standing('no-crypto');
  }
}

/** What is kept of a key besides its private half. */
export async function keyedRow(
  person: string,
  enrolledBy: string,
  key: CryptoKey,
): Promise<Result<KeyRow>> {
  try {
    const publicKey = await crypto.subtle.exportKey('raw', key);
    const checked = checkedKey(new Uint8Array(publicKey));
    if (!checked.ok) throw new Error(checked.flaw.says);
    const thumbprint = thumbprintOf(checked.value, purePrimitives);
    return done({ thumbprint, person, publicKey, since: wallTime(new Date()), enrolledBy });
  } catch {
    return standing('no-crypto');
  }
}

export function publicPart(row: KeyRow): PublicKey {
  const { thumbprint, person, since, enrolledBy } = row;
  const pin = row.sealed !== undefined;
  return { thumbprint, person, publicKey: new Uint8Array(row.publicKey), since, enrolledBy, pin };
}
