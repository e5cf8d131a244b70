/**
 * A bag read through once: every file digested, the small ones held, their contents read for form.
 * What the checks judge; nothing here judges.
 */
import type { Checklist } from '../checklist/model.ts';
import type { JobEvent } from '../job/events.ts';
import { hex } from '../record/bytes.ts';
import { linesOf } from '../record/chain.ts';
import type { KeptDisclosure } from '../record/disclosures.ts';
import { flawed, good } from '../record/outcome.ts';
import type { Outcome } from '../record/outcome.ts';
import type { HashStream, Primitives } from '../record/primitives.ts';
import { openReceipt } from '../record/receipt.ts';
import type { OpenedReceipt } from '../record/receipt.ts';
import { readLine } from '../record/sealed.ts';
import type { SealedEntry } from '../record/sealed.ts';
import { fromHex } from '../record/bytes.ts';
import type { BagFile } from './bag-file.ts';
import { readBagInfo } from './bag-info.ts';
import type { BagInfo } from './bag-info.ts';
import { textFile } from './bagit.ts';
import type { BagFiles, Digested } from './bagit.ts';
import { eventOf } from './bodies.ts';
import { readDisclosures } from './disclosed.ts';
import { readKeyList } from './keys.ts';
import type { KeyList } from './keys.ts';
import {
  CHECKLIST_JSON,
  CHECKLIST_YAML,
  DISCLOSURES,
  KEYS,
  mostBytes,
  placeOf,
  RECORD,
} from './layout.ts';
import type { Place } from './layout.ts';
import { readChecklist } from './read-folder.ts';

/** A receipt of the bag, opened; the flaw of one that proves nothing. */
export interface SeqReceipt {
  readonly seq: number;
  readonly opened: Outcome<OpenedReceipt>;
}

export interface Examined {
  /** By path inside the folder of the bag. */
  readonly files: BagFiles;
  readonly trust: KeyList | null;
  readonly primitives: Primitives;
  readonly info: BagInfo | string;
  readonly keys: Outcome<KeyList>;
  /** One for each line of the record. */
  readonly lines: readonly Outcome<SealedEntry>[];
  /** All entries, when every line could be read. */
  readonly sealed: readonly SealedEntry[] | null;
  readonly events: readonly Outcome<JobEvent>[];
  /** What happened, when every line and every body could be read. */
  readonly story: readonly JobEvent[] | null;
  readonly checklist: Outcome<Checklist>;
  readonly disclosures: Outcome<readonly KeptDisclosure[]>;
  readonly receipts: readonly SeqReceipt[];
}

/** Files of the payload that have a place in this format, by kind. */
export function payloadOf(files: BagFiles): { readonly path: string; readonly place: Place }[] {
  return [...files.keys()].flatMap((path) => {
    const place = path.startsWith('data/') ? placeOf(path.slice('data/'.length)) : null;
    return place === null ? [] : [{ path, place }];
  });
}

/** Bytes of one kept file of the payload; none when it is missing or was too long to be held. */
export function payloadBytes(files: BagFiles, path: string): Uint8Array | null {
  return files.get(`data/${path}`)?.bytes ?? null;
}

/** Reads one file through: its digests, and its bytes if it is one that is held. */
export async function digestOf(
  path: string,
  file: BagFile,
  primitives: Pick<Primitives, 'hashStream'>,
  progress: (bytes: number) => void,
): Promise<Outcome<Digested>> {
  const most = path.startsWith('data/') ? mostBytes(path.slice('data/'.length)) : 8 * 1024 * 1024;
  if (most !== null && file.size > most) {
    return flawed('too-long', `“${path}” has ${file.size} bytes; at most ${most} are read.`);
  }
  const held = most === null ? null : new Uint8Array(file.size);
  const hashes: readonly HashStream[] = [
    primitives.hashStream('sha256'),
    primitives.hashStream('sha512'),
  ];
  let size = 0;
  for await (const bytes of file.open()) {
    for (const hash of hashes) hash.update(bytes);
    if (held !== null) held.set(bytes, size);
    size += bytes.length;
    progress(bytes.length);
  }
  const [sha256, sha512] = await Promise.all(hashes.map(async (hash) => hex(await hash.digest())));
  if (sha256 === undefined || sha512 === undefined) throw new TypeError('A hash gave no digest.');
  return good({ size, sha256, sha512, bytes: held });
}

/** Reads what is in the files of a bag. */
export async function examined(
  files: BagFiles,
  trust: KeyList | null,
  primitives: Primitives,
): Promise<Examined> {
  const record = payloadBytes(files, RECORD) ?? new Uint8Array();
  const lines = [...linesOf(record)].map((line) => readLine(line, primitives));
  const sealed = lines.flatMap((line) => (line.ok ? [line.value] : []));
  const bytes = (path: string): Uint8Array => payloadBytes(files, path) ?? new Uint8Array();
  const infoText = textFile(files, 'bag-info.txt');
  const whole = lines.length > 0 && sealed.length === lines.length;
  const events = sealed.map(({ entry }) => eventOf(entry));
  const story = events.flatMap((event) => (event.ok ? [event.value] : []));
  return {
    files,
    trust,
    primitives,
    info: infoText === null ? 'it is missing, or not UTF-8 text' : readBagInfo(infoText),
    keys: readKeyList(bytes(KEYS), primitives),
    lines,
    sealed: whole ? sealed : null,
    events,
    story: whole && story.length === sealed.length ? story : null,
    checklist: readChecklist(bytes(CHECKLIST_YAML), bytes(CHECKLIST_JSON)),
    disclosures: readDisclosures(bytes(DISCLOSURES), primitives),
    receipts: await receiptsOf(files, sealed, trust, primitives),
  };
}

async function receiptsOf(
  files: BagFiles,
  sealed: readonly SealedEntry[],
  trust: KeyList | null,
  primitives: Primitives,
): Promise<SeqReceipt[]> {
  const receipts: SeqReceipt[] = [];
  for (const { path, place } of payloadOf(files)) {
    if (place.kind !== 'receipt') continue;
    const bytes = files.get(path)?.bytes ?? new Uint8Array();
    const leaf = fromHex(sealed[place.seq]?.hash ?? '');
    const opened =
      leaf === null || leaf.length === 0
        ? flawed('bad-proof', `The record has no entry ${place.seq}: it was cut after the receipt.`)
        : await openReceipt(bytes, leaf, trust?.logs ?? [], primitives);
    receipts.push({ seq: place.seq, opened });
  }
  return receipts.sort((one, other) => one.seq - other.seq);
}
