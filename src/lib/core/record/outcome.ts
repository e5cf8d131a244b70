/** A result that a person can meet: the value, or what is wrong in one plain sentence. */

export const FLAW_CODES = [
  'too-long',
  'too-deep',
  'too-many',
  'not-utf8',
  'not-json',
  'not-canonical',
  'not-plain',
  'unknown-field',
  'missing-field',
  'bad-field',
  'unknown-version',
  'unknown-type',
  'bad-encoding',
  'bad-key',
  'bad-signature',
  'other-job',
  'out-of-order',
  'broken-chain',
  'changed-program',
  'bad-disclosure',
  'bad-note',
  'unknown-signer',
  'bad-proof',
] as const;
export type FlawCode = (typeof FLAW_CODES)[number];

export interface Flaw {
  readonly code: FlawCode;
  readonly says: string;
}

export type Outcome<T> =
  { readonly ok: true; readonly value: T } | { readonly ok: false; readonly flaw: Flaw };

export function good<T>(value: T): Outcome<T> {
  return { ok: true, value };
}

export function flawed(code: FlawCode, says: string): { readonly ok: false; readonly flaw: Flaw } {
  return { ok: false, flaw: { code, says } };
}
