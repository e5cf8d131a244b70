/**
 * A key that only its person's PIN opens. The private half is wrapped (AES-GCM, NIST SP 800-38D) with a key
 * stretched from the PIN (PBKDF2 with HMAC-SHA-256, RFC 8018) and is kept nowhere else.
 *
 * A PIN of a few digits keeps the hand of a colleague out of somebody's name. It does not keep out who
 * copies the store of the browser and has hours to try: the record says whose PIN was given, not more.
 */
import type { Connection } from './connection.ts';
import type { SealedKey } from './schema.ts';
import { done } from './trouble.ts';
import type { Result } from './trouble.ts';

export const PIN_FORM = /^\d{4,8}$/;

/** Some tenths of a second on a phone; the figure of the OWASP cheat sheet on storing passwords, 2023. */
const ROUNDS = 600_000;

/** Wrong PINs in a row that are let pass; each further one doubles the wait. */
export const FREE_TRIES = 5;
const FIRST_WAIT_MS = 30_000;
const LONGEST_WAIT_MS = 15 * 60_000;

async function stretched(pin: string, salt: ArrayBuffer, rounds: number): Promise<CryptoKey> {
  const bytes = new TextEncoder().encode(pin);
  const raw = await crypto.subtle.importKey('raw', bytes, 'PBKDF2', false, ['deriveKey']);
  return crypto.subtle.deriveKey(
    { name: 'PBKDF2', hash: 'SHA-256', salt, iterations: rounds },
    raw,
    { name: 'AES-GCM', length: 256 },
    false,
    ['wrapKey', 'unwrapKey'],
  );
}

/** @param key the private half, extractable; whoever made it forgets it after this. */
export async function sealKey(key: CryptoKey, pin: string, rounds = ROUNDS): Promise<SealedKey> {
  const salt = crypto.getRandomValues(new Uint8Array(16)).buffer;
  const iv = crypto.getRandomValues(new Uint8Array(12)).buffer;
  const by = await stretched(pin, salt, rounds);
  const wrapped = await crypto.subtle.wrapKey('pkcs8', key, by, { name: 'AES-GCM', iv });
  return { salt, iv, rounds, wrapped };
}

/** The private half, not extractable; null when it is another PIN. */
export async function openKey(sealed: SealedKey, pin: string): Promise<CryptoKey | null> {
  const { salt, iv, rounds, wrapped } = sealed;
  const by = await stretched(pin, salt, rounds);
  const how = { name: 'AES-GCM', iv };
  try {
    return await crypto.subtle.unwrapKey('pkcs8', wrapped, by, how, 'Ed25519', false, ['sign']);
  } catch {
    return null;
  }
}

interface Tries {
  /** In a row. */
  readonly wrong: number;
  /** Milliseconds since 1970 before which no PIN is looked at. */
  readonly after: number;
}

const triesOf = (thumbprint: string) => `pin/${thumbprint}`;

/** Milliseconds to wait before a PIN of this key is looked at again; 0 when it is now. */
export async function pinWait(
  connection: Connection,
  thumbprint: string,
  now: number,
): Promise<Result<number>> {
  const tries = await readTries(connection, thumbprint);
  return tries.ok ? done(Math.max(0, tries.value.after - now)) : tries;
}

/** Counts a try: a right one forgets the wrong ones before it. */
export async function countTry(
  connection: Connection,
  thumbprint: string,
  right: boolean,
  now: number,
): Promise<Result<void>> {
  const tries = await readTries(connection, thumbprint);
  if (!tries.ok) return tries;
  const wrong = right ? 0 : tries.value.wrong + 1;
  const over = wrong - FREE_TRIES;
  const wait = over < 0 ? 0 : Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** over);
  const kept: Tries = { wrong, after: wait === 0 ? 0 : now + wait };
  return connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').put(kept, triesOf(thumbprint));
    return done(undefined);
  });
}

async function readTries(connection: Connection, thumbprint: string): Promise<Result<Tries>> {
  return connection.read(['settings'], async (tx) => {
    const kept: unknown = await tx.objectStore('settings').get(triesOf(thumbprint));
    return done((kept as Tries | undefined) ?? { wrong: 0, after: 0 });
  });
}
