/** The keys as the acts in the tree give them, told again from the first leaf on. */
import {
  base64url,
  checkedKey,
  fromBase64url,
  sameBytes,
  thumbprintOf,
} from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import type { Act } from '../log/act.ts';
import type { Findings } from './report.ts';

interface ToldKey {
  readonly publicKey: Uint8Array;
  readonly person: string;
  readonly device: string;
  readonly since: number;
  until: number | null;
}

export class KeyCheck {
  readonly #findings: Findings;
  readonly #keys = new Map<string, ToldKey>();

  constructor(findings: Findings) {
    this.#findings = findings;
  }

  /** An act that stands, at its place in the tree. */
  add({ type, body }: Act, idx: number): void {
    const text = (name: string): string => {
      const value = body[name];
      return typeof value === 'string' ? value : '';
    };
    if (type === 'key.enrolled' || type === 'key.changed') {
      const publicKey = fromBase64url(text('publicKey')) ?? new Uint8Array();
      if (!checkedKey(publicKey).ok || thumbprintOf(publicKey, nodePrimitives) !== text('key'))
        return this.#findings.fail('keys', `Leaf ${idx} enrols a key that is none.`);
      const told = { publicKey, person: text('person'), device: text('device'), since: idx };
      this.#keys.set(text('key'), { ...told, until: null });
      if (type === 'key.changed') this.#end(text('from'), idx);
    }
    if (type === 'key.revoked') this.#end(text('key'), idx);
    if (type === 'device.revoked')
      for (const key of this.#keys.values())
        if (key.device === text('device') && key.until === null) key.until = idx;
  }

  #end(thumbprint: string, idx: number): void {
    const key = this.#keys.get(thumbprint);
    if (key === undefined) this.#findings.fail('keys', `Leaf ${idx} ends a key that never began.`);
    else key.until ??= idx;
  }

  /** The key that an entry of this leaf may be signed with; null when none was enrolled before it. */
  keyFor(thumbprint: string): { readonly publicKey: Uint8Array; readonly person: string } | null {
    return this.#keys.get(thumbprint) ?? null;
  }

  /** Holds the list of keys to what was told. */
  async end(rows: Rows): Promise<void> {
    const stored = await rows.selectFrom('keys').selectAll().execute();
    for (const row of stored) {
      const told = this.#keys.get(row.thumbprint);
      const same =
        told !== undefined &&
        sameBytes(told.publicKey, row.public_key) &&
        told.person === row.person &&
        told.device === row.device &&
        told.since === row.since_idx &&
        told.until === row.until_idx;
      if (!same)
        this.#findings.fail(
          'keys',
          `The key ${row.thumbprint} of “${row.person}” is not listed as the tree has it.`,
        );
      this.#keys.delete(row.thumbprint);
    }
    for (const [thumbprint, { person, publicKey }] of this.#keys)
      this.#findings.fail(
        'keys',
        `The key ${thumbprint} of “${person}” (${base64url(publicKey)}) is in the tree and not in the list.`,
      );
  }
}
