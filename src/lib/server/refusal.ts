/** What a request is refused with: a code for programs, a sentence for people, the HTTP status. */

export interface Refused {
  readonly ok: false;
  readonly status: number;
  readonly code: string;
  readonly says: string;
}

export type Answered<T> = { readonly ok: true; readonly value: T } | Refused;

export function answered<T>(value: T): { readonly ok: true; readonly value: T } {
  return { ok: true, value };
}

export function refused(status: number, code: string, says: string): Refused {
  return { ok: false, status, code, says };
}
