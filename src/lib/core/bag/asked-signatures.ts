/**
 * The signatures of a record, asked for while it is still being read: where they are checked on other threads,
 * these have work from the first line on. Nothing here judges.
 */
import type { Outcome } from '../record/outcome.ts';
import type { Primitives } from '../record/primitives.ts';
import { signatureStands } from '../record/sealed.ts';
import type { SealedEntry } from '../record/sealed.ts';
import type { KeyList } from './keys.ts';

/** Signatures asked for at once: enough to keep every thread busy while the other checks run. */
export const AT_ONCE = 4096;

type Stands = boolean | Promise<boolean>;

export class AskedSignatures {
  /** Those of the first entries, in order. */
  readonly begun: Stands[] = [];
  readonly #keys: ReadonlyMap<string, Uint8Array>;
  readonly #primitives: Pick<Primitives, 'verify'>;

  constructor(keys: Outcome<KeyList>, primitives: Pick<Primitives, 'verify'>) {
    const known = keys.ok ? keys.value.keys : [];
    this.#keys = new Map(known.map(({ key, publicKey }) => [key, publicKey]));
    this.#primitives = primitives;
  }

  knows(key: string): boolean {
    return this.#keys.has(key);
  }

  /** Does the signature of the entry stand? Not under a key that is not in the list. */
  ask(entry: SealedEntry): Stands {
    const key = this.#keys.get(entry.entry.key);
    return key !== undefined && signatureStands(entry, key, this.#primitives);
  }

  /** The next entry was read; asks for it if it is one of the first. */
  read(entry: SealedEntry): void {
    if (this.begun.length >= AT_ONCE) return;
    const stands = this.ask(entry);
    // Whoever judges hears of what goes wrong; a record that cannot be read is not judged, and nobody listens.
    if (typeof stands !== 'boolean') stands.catch(() => {});
    this.begun.push(stands);
  }
}
