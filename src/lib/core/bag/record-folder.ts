/**
 * A record folder: what one job is, as files, before it goes into a bag. Written by `replay --record`
 * and by the app's export, read by `bag`.
 */
import type { Checklist } from '../checklist/model.ts';
import { joined, utf8 } from '../record/bytes.ts';
import { canonicalBytes } from '../record/canonical.ts';
import { disclosureLine } from '../record/disclosures.ts';
import { fileOf } from './bag-file.ts';
import type { BagFile } from './bag-file.ts';
import { keyListBytes } from './keys.ts';
import type { KnownKey } from './keys.ts';
import {
  CHECKLIST_JSON,
  CHECKLIST_YAML,
  DISCLOSURES,
  KEYS,
  photoPath,
  receiptPath,
  RECORD,
  shownPath,
  timestampPath,
} from './layout.ts';
import { shownBytes, wordsShown } from './shown.ts';
import type { ShownWords } from './shown.ts';

export interface RecordPieces {
  /** Sealed lines in order, without their line feeds. */
  readonly lines: readonly Uint8Array[];
  /** Disclosures still kept, in the encoded form that was hashed, with the entry they belong to. */
  readonly disclosures: readonly { readonly seq: number; readonly disclosure: string }[];
  readonly checklist: {
    /** The file as written. */
    readonly yaml: string;
    /** What was read from it, before anything was made of it: the identity is taken of this. */
    readonly json: unknown;
    readonly checklist: Checklist;
  };
  /** Words shown in other languages than the checklist's own. */
  readonly translations?: readonly ShownWords[];
  /** Every key that signed an entry. */
  readonly keys: readonly KnownKey[];
  /** Photos by the SHA-256 of their stored bytes. */
  readonly photos?: readonly (Omit<BagFile, 'path'> & { readonly sha256: string })[];
  readonly receipts?: ReadonlyMap<number, Uint8Array>;
  readonly timestamps?: readonly {
    readonly of: 'entry' | 'receipt';
    readonly seq: number;
    readonly token: Uint8Array;
  }[];
}

const LINE_FEED = utf8('\n');

/** The files of the folder, paths relative to it. */
export function recordFolderFiles(pieces: RecordPieces): BagFile[] {
  const { lines, disclosures, checklist } = pieces;
  const kept = disclosures.map(({ seq, disclosure }) => `${disclosureLine(seq, disclosure)}\n`);
  const words = [wordsShown(checklist.checklist), ...(pieces.translations ?? [])];
  return [
    fileOf(RECORD, joined(...lines.flatMap((line) => [line, LINE_FEED]))),
    fileOf(DISCLOSURES, utf8(kept.join(''))),
    fileOf(CHECKLIST_YAML, utf8(checklist.yaml)),
    fileOf(CHECKLIST_JSON, canonicalBytes(checklist.json)),
    fileOf(KEYS, keyListBytes(pieces.keys)),
    ...words.map((shown) => fileOf(shownPath(shown.language), shownBytes(shown))),
    ...(pieces.photos ?? []).map(({ sha256, size, open }) => {
      return { path: photoPath(sha256), size, open };
    }),
    ...[...(pieces.receipts ?? [])].map(([seq, bytes]) => fileOf(receiptPath(seq), bytes)),
    ...(pieces.timestamps ?? []).map(({ of, seq, token }) => fileOf(timestampPath(of, seq), token)),
  ];
}
