/**
 * Joining a job by a code: the device that writes the job shows a code, and somebody signs it with a key
 * that never leaves their own device.
 *
 * The code is the beginning of a hash over what it is good for (this job, the key made for them on the
 * device that shows it, until when), so twelve letters that are typed bind as much as an address that
 * is read by a camera, and a signature given for one job is none for another: it would take some 2^54
 * tries to find a second invitation with the same code.
 */
import { canonicalBytes } from './canonical.ts';
import { fromBase64url } from './bytes.ts';
import { checkedKey, checkedSignature } from './ed25519.ts';
import { preAuthentication } from './envelope.ts';
import { instantOf } from './instant.ts';
import type { Primitives } from './primitives.ts';
import { thumbprintOf } from './thumbprint.ts';

/** Minutes that a code is good for: enough to hand a phone over, too few to leave it lying about. */
export const JOIN_MINUTES = 10;

export const NONCE_BYTES = 16;

export interface Invitation {
  readonly job: string;
  /** Thumbprint of the key that they are going to sign with on the device that shows the code. */
  readonly hand: string;
  /** `NONCE_BYTES` random bytes in Base 64 without padding. */
  readonly nonce: string;
  /** Wall time of the device that shows it, RFC 3339. */
  readonly until: string;
}

/** What stands in the record of somebody who joined by a code. */
export interface SignedJoining {
  /** Their own public key, 32 bytes in Base 64 without padding. */
  readonly own: string;
  readonly nonce: string;
  readonly until: string;
  /** Theirs over `joiningMessage`, 64 bytes in Base 64 without padding. */
  readonly signature: string;
}

export const INVITATION_TYPE = 'application/vnd.stillwire.invitation.v1+json';
export const JOINING_TYPE = 'application/vnd.stillwire.joining.v1+json';

/** Crockford's base 32: no I, L, O, U, so that a code can be read aloud and typed with gloves. */
const LETTERS = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
/** Five bits each; one more letter follows that only checks the others. */
const CODE_LETTERS = 11;

/** Twelve letters without spaces: 55 bits, and a check letter. */
export function joinCode(
  { job, hand, nonce, until }: Invitation,
  primitives: Pick<Primitives, 'sha256'>,
): string {
  const message = preAuthentication(INVITATION_TYPE, canonicalBytes({ hand, job, nonce, until }));
  const [...bytes] = primitives.sha256(message).subarray(0, 7);
  let bits = bytes.reduce((sum, byte) => sum * 256n + BigInt(byte), 0n) >> 1n;
  let code = '';
  for (let at = 0; at < CODE_LETTERS; at += 1) {
    code = `${LETTERS[Number(bits & 31n)] ?? ''}${code}`;
    bits >>= 5n;
  }
  return code + checkLetter(code);
}

/**
 * A code as somebody typed it, in its one form: letters that look alike are the same, spaces and dashes
 * are nothing. Null when a letter is wrong or missing, which the check letter tells.
 */
export function plainJoinCode(typed: string): string | null {
  const plain = typed
    .toUpperCase()
    .replace(/[\s-]/g, '')
    .replaceAll('O', '0')
    .replace(/[IL]/g, '1');
  const known = [...plain].every((letter) => LETTERS.includes(letter));
  if (plain.length !== CODE_LETTERS + 1 || !known) return null;
  return checkLetter(plain.slice(0, -1)) === plain.at(-1) ? plain : null;
}

/** `7QF2-KM9X-AP3T`, as it is shown. */
export function spacedJoinCode(code: string): string {
  return code.replace(/(.{4})(?=.)/g, '$1-');
}

/** Luhn's sum in base 32: every single wrong letter shows, and nearly every two that changed places. */
function checkLetter(code: string): string {
  const base = LETTERS.length;
  const sum = [...code].reverse().reduce((all, letter, at) => {
    const value = LETTERS.indexOf(letter) * (at % 2 === 0 ? 2 : 1);
    return all + Math.floor(value / base) + (value % base);
  }, 0);
  return LETTERS[(base - (sum % base)) % base] ?? '';
}

export interface JoiningStatement {
  readonly code: string;
  /** Thumbprint of their own key. */
  readonly key: string;
  /** The id that they are on the job by. */
  readonly person: string;
}

/** The bytes that the own key of whoever joins signs. */
export function joiningMessage({ code, key, person }: JoiningStatement): Uint8Array {
  return preAuthentication(JOINING_TYPE, canonicalBytes({ code, key, person }));
}

export interface Joining {
  readonly job: string;
  /** Thumbprint of the key that they sign with on the device that showed the code. */
  readonly hand: string;
  readonly person: string;
  readonly how: SignedJoining;
  /** When the answer to the code was taken, RFC 3339. */
  readonly at: string;
}

export type JoiningFault = 'form' | 'late' | 'signature';

/**
 * Whether somebody has signed that they join this job with this key. `form`: a field is none; `late`: the
 * code was good no more, or not yet; `signature`: it was given for another code, or by another key.
 */
export async function joiningFault(
  { job, hand, person, how, at }: Joining,
  primitives: Pick<Primitives, 'sha256' | 'verify'>,
): Promise<JoiningFault | null> {
  const [own, signature] = [fromBase64url(how.own), fromBase64url(how.signature)];
  const [then, until] = [instantOf(at)?.ms, instantOf(how.until)?.ms];
  if (own === null || signature === null || then === undefined || until === undefined)
    return 'form';
  if (!checkedKey(own).ok || !checkedSignature(signature).ok) return 'form';
  if (fromBase64url(how.nonce)?.length !== NONCE_BYTES) return 'form';
  if (then > until || until - then > JOIN_MINUTES * 60_000) return 'late';
  const code = joinCode({ job, hand, nonce: how.nonce, until: how.until }, primitives);
  const message = joiningMessage({ code, key: thumbprintOf(own, primitives), person });
  return (await primitives.verify(own, message, signature)) ? null : 'signature';
}
