/** Form, key and signature of the lines of a batch: everything that needs no other entry. */
import { checkedKey, flawed, good, readLine, signatureStands } from '#lib/core/record/index.ts';
import type { Outcome, SealedEntry } from '#lib/core/record/index.ts';
import { nodePrimitives, pooledPrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import type { EntryAnswer, RejectionCode } from './answer.ts';

export type Rejection = Extract<EntryAnswer, { status: 'rejected' }>;

export interface CheckedLine {
  readonly sealed: SealedEntry;
  readonly rejection?: undefined;
}

export type Checked = CheckedLine | { readonly sealed?: undefined; readonly rejection: Rejection };

interface KnownKey {
  readonly publicKey: Uint8Array;
  readonly person: string;
}

/** Keys never change once they are enrolled; the same bytes each time, so that they are imported once. */
export class KeyShelf {
  readonly #kept = new Map<string, KnownKey>();

  async take(rows: Rows, thumbprints: ReadonlySet<string>): Promise<ReadonlyMap<string, KnownKey>> {
    const missing = [...thumbprints].filter((thumbprint) => !this.#kept.has(thumbprint));
    if (missing.length > 0) {
      const found = await rows
        .selectFrom('keys')
        .select(['thumbprint', 'public_key', 'person'])
        .where('thumbprint', 'in', missing)
        .execute();
      for (const { thumbprint, public_key, person } of found)
        // Checked at enrolment; a row that was changed since is no key.
        if (checkedKey(public_key).ok)
          this.#kept.set(thumbprint, { publicKey: new Uint8Array(public_key), person });
    }
    return this.#kept;
  }
}

/** Checks the lines, their signatures side by side. */
export async function checkedLines(
  rows: Rows,
  shelf: KeyShelf,
  lines: readonly Uint8Array[],
): Promise<Checked[]> {
  const read = lines.map((line) => readLine(line, nodePrimitives));
  const thumbprints = new Set(read.flatMap((one) => (one.ok ? [one.value.entry.key] : [])));
  const keys = await shelf.take(rows, thumbprints);
  return Promise.all(read.map((one) => checkedLine(one, keys)));
}

async function checkedLine(
  read: Outcome<SealedEntry>,
  keys: ReadonlyMap<string, KnownKey>,
): Promise<Checked> {
  if (!read.ok) return rejected(read.flaw.code, read.flaw.says);
  const sealed = read.value;
  const { by, key, seq } = sealed.entry;
  const known = keys.get(key);
  if (known === undefined)
    return rejected(
      'unknown-key',
      `Entry ${seq} is signed with a key that was never enrolled here. Enrol the key of “${by}” with a code from the office; until then the entries stay on the device.`,
      sealed.hash,
    );
  if (known.person !== by)
    return rejected(
      'not-their-key',
      `Entry ${seq} speaks for “${by}”, but is signed with the key of somebody else.`,
      sealed.hash,
    );
  const stands = await stood(signatureStands(sealed, known.publicKey, pooledPrimitives));
  return stands.ok ? { sealed } : rejected(stands.flaw.code, stands.flaw.says, sealed.hash);
}

async function stood(verdict: boolean | Promise<boolean>): Promise<Outcome<true>> {
  return (await verdict)
    ? good(true)
    : flawed('bad-signature', 'The signature does not fit the entry: one of them was changed.');
}

export function rejected(
  code: RejectionCode,
  says: string,
  hash?: string,
): { readonly rejection: Rejection } {
  const rejection = { status: 'rejected', code, says } as const;
  return { rejection: hash === undefined ? rejection : { ...rejection, hash } };
}
