/** Reads the files of a record folder before they go into a bag: whole, or a sentence why not. */
import { loadChecklist } from '../checklist/load.ts';
import type { Checklist } from '../checklist/model.ts';
import type { JobEvent } from '../job/events.ts';
import { sameBytes, textOf } from '../record/bytes.ts';
import { canonicalBytes, parseCanonical } from '../record/canonical.ts';
import { photosNamed, readRecord } from '../record/chain.ts';
import type { KeptDisclosure } from '../record/disclosures.ts';
import { flawed, good } from '../record/outcome.ts';
import type { Outcome } from '../record/outcome.ts';
import type { Primitives } from '../record/primitives.ts';
import type { SealedEntry } from '../record/sealed.ts';
import { bytesOf } from './bag-file.ts';
import type { BagFile } from './bag-file.ts';
import { eventOf } from './bodies.ts';
import { readDisclosures } from './disclosed.ts';
import { readKeyList } from './keys.ts';
import type { KnownKey } from './keys.ts';
import {
  ALWAYS,
  CHECKLIST_JSON,
  CHECKLIST_YAML,
  DISCLOSURES,
  KEYS,
  mostBytes,
  placeOf,
  RECORD,
} from './layout.ts';
import { readShown } from './shown.ts';
import type { ShownWords } from './shown.ts';

export interface RecordFolder {
  readonly files: readonly BagFile[];
  readonly job: string;
  readonly demonstration: boolean;
  readonly sealed: readonly SealedEntry[];
  readonly events: readonly JobEvent[];
  readonly recordBytes: Uint8Array;
  readonly checklist: Checklist;
  readonly checklistBytes: Uint8Array;
  /** The checklist as written. */
  readonly checklistText: string;
  readonly shown: ReadonlyMap<string, ShownWords>;
  readonly disclosures: readonly KeptDisclosure[];
  readonly keys: readonly KnownKey[];
  /** Digests of every photo that the record names. */
  readonly named: ReadonlySet<string>;
  readonly receipts: readonly number[];
  readonly timestamps: number;
}

/** Reads a folder; the first thing wrong with it is the flaw, with the file it is in. */
export async function readRecordFolder(
  files: readonly BagFile[],
  primitives: Pick<Primitives, 'sha256'>,
): Promise<Outcome<RecordFolder>> {
  const held = await holdSmallFiles(files);
  if (!held.ok) return held;
  const bytes = (path: string): Uint8Array => held.value.get(path) ?? new Uint8Array();
  const record = within(RECORD, readRecord(bytes(RECORD), primitives));
  if (!record.ok) return record;
  const sealed = record.value;
  const [first] = sealed;
  if (first === undefined) return flawed('missing-field', `${RECORD} is empty.`);
  const events = eventsOf(sealed);
  if (!events.ok) return events;
  const opened = events.value[0];
  const disclosures = within(DISCLOSURES, readDisclosures(bytes(DISCLOSURES), primitives));
  if (!disclosures.ok) return disclosures;
  const keys = within(KEYS, readKeyList(bytes(KEYS), primitives));
  if (!keys.ok) return keys;
  const checklist = readChecklist(bytes(CHECKLIST_YAML), bytes(CHECKLIST_JSON));
  if (!checklist.ok) return checklist;
  const shown = readAllShown(held.value);
  if (!shown.ok) return shown;
  const places = files.map(({ path }) => placeOf(path));
  return good({
    files,
    job: first.entry.job,
    demonstration: opened?.type === 'job.opened' && opened.body.demo,
    sealed,
    events: events.value,
    recordBytes: bytes(RECORD),
    checklist: checklist.value,
    checklistBytes: bytes(CHECKLIST_JSON),
    checklistText: textOf(bytes(CHECKLIST_YAML)) ?? '',
    shown: shown.value,
    disclosures: disclosures.value,
    keys: keys.value.keys,
    named: new Set(sealed.flatMap(({ entry }) => photosNamed(entry.body))),
    receipts: places.flatMap((place) => (place?.kind === 'receipt' ? [place.seq] : [])),
    timestamps: places.filter((place) => place?.kind === 'timestamp').length,
  });
}

async function holdSmallFiles(
  files: readonly BagFile[],
): Promise<Outcome<ReadonlyMap<string, Uint8Array>>> {
  const held = new Map<string, Uint8Array>();
  for (const file of files) {
    if (placeOf(file.path) === null) {
      return flawed('unknown-field', `“${file.path}” has no place in a record folder.`);
    }
    const most = mostBytes(file.path);
    if (most === null) continue;
    if (file.size > most) {
      return flawed('too-long', `${file.path} has ${file.size} bytes; at most ${most} are read.`);
    }
    held.set(file.path, await bytesOf(file));
  }
  const missing = ALWAYS.find((path) => !held.has(path));
  if (missing !== undefined) {
    return flawed('missing-field', `There is no ${missing}, so this is not a whole record folder.`);
  }
  return good(held);
}

function within<T>(path: string, outcome: Outcome<T>): Outcome<T> {
  return outcome.ok ? outcome : flawed(outcome.flaw.code, `${path}: ${outcome.flaw.says}`);
}

function eventsOf(sealed: readonly SealedEntry[]): Outcome<readonly JobEvent[]> {
  const events: JobEvent[] = [];
  for (const { entry } of sealed) {
    const event = eventOf(entry);
    if (!event.ok) return within(`${RECORD} line ${entry.seq + 1}`, event);
    events.push(event.value);
  }
  return good(events);
}

/** The checklist as written and as canonical JSON; they must be one and the same. */
export function readChecklist(yaml: Uint8Array, json: Uint8Array): Outcome<Checklist> {
  const text = textOf(yaml);
  if (text === null) return flawed('not-utf8', `${CHECKLIST_YAML} is not UTF-8 text.`);
  const loaded = loadChecklist(text);
  if (!loaded.ok) {
    const [problem] = loaded.problems;
    return flawed(
      'bad-field',
      `${CHECKLIST_YAML} line ${problem?.line ?? 1}: ${problem?.says ?? 'it cannot be read.'}`,
    );
  }
  if (!sameBytes(canonicalBytes(loaded.json), json)) {
    return flawed(
      'not-canonical',
      `${CHECKLIST_JSON} is not the canonical form of ${CHECKLIST_YAML}.`,
    );
  }
  return good(loaded.checklist);
}

/** Every file of words shown, by language. */
export function readAllShown(
  held: ReadonlyMap<string, Uint8Array>,
): Outcome<ReadonlyMap<string, ShownWords>> {
  const shown = new Map<string, ShownWords>();
  for (const [path, bytes] of held) {
    const place = placeOf(path);
    if (place?.kind !== 'shown') continue;
    const read = parseCanonical(bytes, { bytes: 4 * 1024 * 1024, depth: 8, numbers: 'integers' });
    const words = read.ok ? readShown(read.value) : read;
    if (!words.ok) return within(path, words);
    if (words.value.language !== place.language) {
      return flawed('bad-field', `${path} says that it is in “${words.value.language}”.`);
    }
    shown.set(place.language, words.value);
  }
  return good(shown);
}
