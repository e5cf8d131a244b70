/**
 * What a device signs to show that it holds a key: once when the key is enrolled with a code from the
 * office, and with both keys when one takes the place of another; and what a person signs there when
 * they answer a question of the office.
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

export const LOOK_ANSWER_TYPE = 'application/vnd.stillwire.look-answer.v1+json';

export interface LookAnswerStatement {
  /** Origin of the log: an answer given to one office is none to another. */
  readonly log: string;
  /** Number of the second look there. */
  readonly look: number;
  readonly person: string;
  /** Digest of the salted words; they may be erased and the signature still stands. */
  readonly words: string;
}

/** The bytes that the key of the person who was asked signs. */
export function lookAnswerMessage({ log, look, person, words }: LookAnswerStatement): Uint8Array {
  return preAuthentication(LOOK_ANSWER_TYPE, canonicalBytes({ log, look, person, words }));
}
