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

/** Hands already read, so that a tap costs one transaction and not two. A person keeps their key. */
const handsRead = new WeakMap<Connection, Map<string, Hand>>();

/** The hand that signs for a person; `no-key` when they were never enrolled here. */
export async function signerOf(connection: Connection, person: string): Promise<Result<Hand>> {
  const known = handsRead.get(connection) ?? new Map<string, Hand>();
  const hand = known.get(person);
  if (hand !== undefined) return done(hand);
  const read = await readHand(connection, person);
  if (read.ok) handsRead.set(connection, known.set(person, read.value));
  return read;
}

async function readHand(connection: Connection, person: string): Promise<Result<Hand>> {
  const found = await connection.read(['keys'], async (tx) =>
    done((await tx.objectStore('keys').index('person').getAll(person))[0]),
  );
  if (!found.ok) return found;
  const row = found.value;
  if (row === undefined) {
    return failed(
      'no-key',
      `“${person}” has no signing key on this device, so nothing can be signed for them. Nothing was written. Add them to the people of this device, then do it again.`,
    );
  }
  return done({
    key: row.thumbprint,
    publicKey: new Uint8Array(row.publicKey),
    person,
    sign: async (message) =>
      new Uint8Array(await crypto.subtle.sign('Ed25519', row.privateKey, message.slice())),
  });
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
  try {
    const pair = (await crypto.subtle.generateKey('Ed25519', false, [
      'sign',
      'verify',
    ])) as CryptoKeyPair;
    const publicKey = await crypto.subtle.exportKey('raw', pair.publicKey);
    const checked = checkedKey(new Uint8Array(publicKey));
    if (!checked.ok) throw new Error(checked.flaw.says);
    return done({
      thumbprint: thumbprintOf(checked.value, purePrimitives),
      person,
      publicKey,
      privateKey: pair.privateKey,
      since: wallTime(new Date()),
      enrolledBy,
    });
  } catch {
    return standing('no-crypto');
  }
}

function publicPart(row: KeyRow): PublicKey {
  const { thumbprint, person, since, enrolledBy } = row;
  return { thumbprint, person, publicKey: new Uint8Array(row.publicKey), since, enrolledBy };
}
