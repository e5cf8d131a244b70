/**
 * What a device signs to show that it holds a key: once when the key is enrolled with a code from the
 * office, and with both keys when one takes the place of another.
 */
import { canonicalBytes } from './canonical.ts';
import { preAuthentication } from './envelope.ts';

export const ENROLMENT_TYPE = 'application/vnd.stillwire.enrolment.v1+json';
export const KEY_CHANGE_TYPE = 'application/vnd.stillwire.key-change.v1+json';

export interface EnrolmentStatement {
  /** The code as the office gave it, upper case, without spaces and dashes. */
  readonly code: string;
  /** Thumbprint of the key. */
  readonly key: string;
  readonly person: string;
}

/** The bytes that the key itself signs. */
export function enrolmentMessage({ code, key, person }: EnrolmentStatement): Uint8Array {
  return preAuthentication(ENROLMENT_TYPE, canonicalBytes({ code, key, person }));
}

export interface KeyChangeStatement {
  /** Thumbprint of the key that ends. */
  readonly from: string;
  readonly person: string;
  /** Thumbprint of the key that takes its place. */
  readonly to: string;
}

/** The bytes that the old key and the new one both sign. */
export function keyChangeMessage({ from, person, to }: KeyChangeStatement): Uint8Array {
  return preAuthentication(KEY_CHANGE_TYPE, canonicalBytes({ from, person, to }));
}
