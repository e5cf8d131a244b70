/** What a device hears about each entry that it sent. */
import type { FlawCode } from '#lib/core/record/index.ts';

export type RejectionCode =
  | FlawCode
  /** The key was never enrolled here. */
  | 'unknown-key'
  /** The key belongs to another person than the entry names. */
  | 'not-their-key'
  /** Entries before this one have not come yet; `expected` says which. */
  | 'gap';

export type EntryAnswer =
  | {
      readonly hash: string;
      /** `forked`: kept, but another entry had its place first, or one that it follows. */
      readonly status: 'accepted' | 'duplicate' | 'forked';
      readonly index: number;
      /** `c2sp.org/tlog-proof@v1`. */
      readonly receipt: string;
    }
  | {
      /** Absent when the line could not be read. */
      readonly hash?: string;
      readonly status: 'rejected';
      readonly code: RejectionCode;
      readonly says: string;
      /** With `gap`: the number of the entry that the log waits for. */
      readonly expected?: number;
    };

export interface BatchAnswer {
  /** The newest checkpoint, a signed note. */
  readonly checkpoint: string;
  /** One for each line, in order. */
  readonly entries: readonly EntryAnswer[];
}
