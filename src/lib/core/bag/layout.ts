/** Where things stand in a record folder and in a bag; FORMAT.md says what each is. */

export const RECORD = 'record.jsonl';
export const DISCLOSURES = 'disclosures.jsonl';
export const CHECKLIST_YAML = 'checklist.yaml';
export const CHECKLIST_JSON = 'checklist.json';
export const KEYS = 'keys.json';
export const FRONT = 'front.html';
export const FRONT_PDF = 'front.pdf';
export const HOW_TO_CHECK = 'how-to-check.txt';

/** Files that every record folder has; a bag has FRONT and HOW_TO_CHECK beside them. */
export const ALWAYS = [RECORD, DISCLOSURES, CHECKLIST_YAML, CHECKLIST_JSON, KEYS] as const;

const PHOTO = /^photos\/([0-9a-f]{64})\.jpg$/;
const SHOWN = /^shown\/([A-Za-z]{2,8}(?:-[A-Za-z0-9]{1,8})*)\.json$/;
const RECEIPT = /^receipts\/(0|[1-9]\d{0,5})\.tlog-proof$/;
const TIMESTAMP = /^timestamps\/(entry|receipt)-(0|[1-9]\d{0,5})\.tsr$/;

export const photoPath = (sha256: string): string => `photos/${sha256}.jpg`;
export const shownPath = (language: string): string => `shown/${language}.json`;
export const receiptPath = (seq: number): string => `receipts/${seq}.tlog-proof`;
export const timestampPath = (of: 'entry' | 'receipt', seq: number): string =>
  `timestamps/${of}-${seq}.tsr`;

export type Place =
  | { readonly kind: 'single' }
  | { readonly kind: 'photo'; readonly sha256: string }
  | { readonly kind: 'shown'; readonly language: string }
  | { readonly kind: 'receipt'; readonly seq: number }
  | { readonly kind: 'timestamp'; readonly of: 'entry' | 'receipt'; readonly seq: number };

const SINGLES: ReadonlySet<string> = new Set([...ALWAYS, FRONT, FRONT_PDF, HOW_TO_CHECK]);

/** What a path (without `data/`) is in this format; `null` for what has no place in it. */
export function placeOf(path: string): Place | null {
  if (SINGLES.has(path)) return { kind: 'single' };
  const photo = PHOTO.exec(path);
  if (photo?.[1] !== undefined) return { kind: 'photo', sha256: photo[1] };
  const shown = SHOWN.exec(path);
  if (shown?.[1] !== undefined) return { kind: 'shown', language: shown[1] };
  const receipt = RECEIPT.exec(path);
  if (receipt?.[1] !== undefined) return { kind: 'receipt', seq: Number(receipt[1]) };
  const stamp = TIMESTAMP.exec(path);
  if (stamp?.[2] === undefined) return null;
  return { kind: 'timestamp', of: stamp[1] as 'entry' | 'receipt', seq: Number(stamp[2]) };
}

/** Bytes that a reader takes of a file it must hold whole; photos and the PDF are only hashed. */
export function mostBytes(path: string): number | null {
  if (path === RECORD) return 128 * 1024 * 1024;
  if (path === FRONT) return 32 * 1024 * 1024;
  if (path === DISCLOSURES) return 16 * 1024 * 1024;
  const kind = placeOf(path)?.kind;
  return kind === 'photo' || path === FRONT_PDF ? null : 4 * 1024 * 1024;
}
