/** Everything that a front page is made from; all of it is in the bag, so a verifier can make it again. */
import type { Checklist } from '../../checklist/model.ts';
import type { JobEvent } from '../../job/events.ts';
import type { KeptDisclosure } from '../../record/disclosures.ts';
import type { SealedEntry } from '../../record/sealed.ts';
import type { PhotoChange } from '../bag-info.ts';
import type { KnownKey } from '../keys.ts';
import type { ShownWords } from '../shown.ts';
import type { FrontLanguage } from './words.ts';

export interface FrontInput {
  readonly language: FrontLanguage;
  readonly sealed: readonly SealedEntry[];
  /** The events of those entries, in the same order. */
  readonly events: readonly JobEvent[];
  readonly checklist: Checklist;
  /** The words shown in the language of the page, where there are any. */
  readonly shown: ShownWords | null;
  /** Those that the bag shows. */
  readonly disclosures: readonly KeptDisclosure[];
  /** Digests of the photos in the bag. */
  readonly photos: ReadonlySet<string>;
  readonly photoChanges: readonly PhotoChange[];
  readonly keys: readonly KnownKey[];
  /** Hex SHA-256 of `record.jsonl` and of `checklist.json`. */
  readonly digests: { readonly record: string; readonly checklist: string };
  /** Entries that have a receipt, and how many time-stamps there are. */
  readonly receipts: readonly number[];
  readonly timestamps: number;
}
