/**
 * Passwords: argon2id (RFC 9106) from Node's own cryptography, well above the least that OWASP's
 * Password Storage Cheat Sheet asks for (m = 19 MiB, t = 2, p = 1). Kept in the PHC string form, so
 * that the cost can be raised without losing anybody.
 */
import { argon2, randomBytes, timingSafeEqual } from 'node:crypto';

interface Cost {
  /** KiB. */
  readonly m: number;
  readonly t: number;
  readonly p: number;
}

const COST: Cost = { m: 65_536, t: 3, p: 1 };
const HASH_BYTES = 32;
/** ASVS 5.0, 6.2.1: fifteen is what it strongly recommends. */
export const LEAST_LENGTH = 15;
const MOST_LENGTH = 256;
const FORM = /^\$argon2id\$v=19\$m=(\d+),t=(\d+),p=(\d+)\$([A-Za-z0-9+/]+)\$([A-Za-z0-9+/]+)$/;

/** Why a password may not be taken: one sentence; null when it may. */
export function whyWeak(password: string, login: string): string | null {
  const letters = [...password.normalize('NFC')];
  if (letters.length < LEAST_LENGTH)
    return `Use at least ${LEAST_LENGTH} letters: a few words in a row are easy to keep in mind.`;
  if (letters.length > MOST_LENGTH) return `Use at most ${MOST_LENGTH} letters.`;
  if (new Set(letters).size < 6) return 'Use more than a few different letters.';
  const plain = password.toLowerCase();
  if (login.length > 3 && plain.includes(login.toLowerCase()))
    return 'Leave your sign-in name out of it.';
  return null;
}

export async function hashPassword(password: string): Promise<string> {
  const salt = randomBytes(16);
  const hash = await derive(password, salt, COST);
  const { m, t, p } = COST;
  return `$argon2id$v=19$m=${m},t=${t},p=${p}$${unpadded(salt)}$${unpadded(hash)}`;
}

export async function passwordFits(password: string, stored: string): Promise<boolean> {
  const found = FORM.exec(stored);
  if (found === null) return false;
  const [m, t, p] = found.slice(1, 4).map(Number) as [number, number, number];
  const [salt, hash] = found.slice(4).map((text) => Buffer.from(text, 'base64'));
  if (salt === undefined || hash?.length !== HASH_BYTES) return false;
  return timingSafeEqual(await derive(password, salt, { m, t, p }), hash);
}

/** As long as a real look takes, for names that nobody has: the time must not tell. */
export async function lookInVain(password: string): Promise<void> {
  await derive(password, Buffer.alloc(16), COST);
}

function derive(password: string, salt: Uint8Array, { m, t, p }: Cost): Promise<Buffer> {
  return new Promise((settle, fail) => {
    argon2(
      'argon2id',
      {
        message: Buffer.from(password.normalize('NFC')),
        nonce: salt,
        parallelism: p,
        tagLength: HASH_BYTES,
        memory: m,
        passes: t,
      },
      (error, hash) => (error === null ? settle(hash) : fail(error)),
    );
  });
}

const unpadded = (bytes: Buffer): string => bytes.toString('base64').replace(/=+$/, '');
