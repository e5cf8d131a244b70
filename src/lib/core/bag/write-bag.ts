/**
 * Writes an evidence bag from the files of a record folder, as a stream: photos pass through one by
 * one, and nothing beyond the record itself is held.
 *
 * The archive is reproducible: it holds no time but the day of the export and no randomness at all
 * (Ed25519 signs the same bytes in the same way each time).
 */
import { hex, utf8 } from '../record/bytes.ts';
import { signNote } from '../record/notes.ts';
import { flawed, good } from '../record/outcome.ts';
import type { Outcome } from '../record/outcome.ts';
import type { Primitives, Signer } from '../record/primitives.ts';
import { bytesOf, fileOf } from './bag-file.ts';
import type { BagFile } from './bag-file.ts';
import { bagInfoText } from './bag-info.ts';
import type { BagInfo, PhotoChange } from './bag-info.ts';
import { ALGORITHMS, DECLARATION, manifestPath, manifestText, tagManifestPath } from './bagit.ts';
import { disclosuresBytes, withoutWithheld } from './disclosed.ts';
import type { FrontInput } from './front/front-input.ts';
import { frontBytes } from './front/front-page.ts';
import type { FrontLanguage } from './front/words.ts';
import { HOW_TO_CHECK_TEXT } from './how-to-check.ts';
import { keyListBytes } from './keys.ts';
import { DISCLOSURES, FRONT, FRONT_PDF, HOW_TO_CHECK, KEYS, photoPath, placeOf } from './layout.ts';
import { readRecordFolder } from './read-folder.ts';
import type { RecordFolder } from './read-folder.ts';
import { NOTE, noteKeyOf } from './sealed-by.ts';
import { fits, ZipWriter } from './zip-writer.ts';
import type { Written } from './zip-writer.ts';

/** A photo to leave out, or to show with a part made unreadable. */
export interface PhotoWish {
  /** Digest that the record names. */
  readonly sha256: string;
  /** What stands in its place; nothing when absent. */
  readonly blurred?: Omit<BagFile, 'path'> & { readonly sha256: string };
}

export interface BagOptions {
  /** Who seals the bag. When the key list does not hold the key yet, it is added for `export`. */
  readonly exporter: Signer & { readonly publicKey: Uint8Array; readonly person: string };
  /** Wall time of the export, RFC 3339 with offset. */
  readonly at: string;
  /** Version of this program. */
  readonly software: string;
  /** Names of private values to leave out. */
  readonly withhold?: readonly string[];
  readonly photos?: readonly PhotoWish[];
  /** Language of the front page; English when absent. */
  readonly language?: FrontLanguage;
  /** Makes the front page as a PDF, where the shell can; null when it could not after all. */
  readonly pdf?: (input: FrontInput, photo: PhotoOfBag) => Promise<Uint8Array | null>;
}

/** Bytes of a photo that the bag shows, by its digest. */
export type PhotoOfBag = (sha256: string) => Promise<Uint8Array | null>;

export interface BagBeingWritten {
  /** The folder inside, and the name of the file without `.zip`. */
  readonly name: string;
  /** The archive; nothing is read before it is asked for. */
  readonly bytes: AsyncGenerator<Uint8Array>;
}

/**
 * Begins a bag. Refused when the folder is not a whole record, when something to be withheld is not
 * there, or when it would not fit.
 */
export async function writeBag(
  files: readonly BagFile[],
  options: BagOptions,
  primitives: Primitives,
): Promise<Outcome<BagBeingWritten>> {
  const folder = await readRecordFolder(files, primitives);
  if (!folder.ok) return folder;
  const chosen = chooseContents(folder.value, options);
  if (!chosen.ok) return chosen;
  const payload = await payloadOf(folder.value, chosen.value, options, primitives);
  const room = fits(payload);
  if (!room.ok) return room;
  const { job } = folder.value;
  const name = `${job}-${options.at.slice(0, 10).replaceAll('-', '')}`;
  const info = {
    job,
    date: options.at.slice(0, 10),
    software: options.software,
    entries: folder.value.sealed.length,
    head: folder.value.sealed.at(-1)?.hash ?? '',
    sealedBy: options.exporter.key,
    demonstration: folder.value.demonstration,
    photos: chosen.value.changes,
  };
  return good({ name, bytes: archiveOf(name, payload, info, options, primitives) });
}

interface Chosen {
  readonly disclosures: RecordFolder['disclosures'];
  /** Files that pass through as they are, with the photos that are shown. */
  readonly passing: readonly BagFile[];
  readonly changes: readonly PhotoChange[];
}

function chooseContents(folder: RecordFolder, options: BagOptions): Outcome<Chosen> {
  const disclosures = withoutWithheld(folder.disclosures, options.withhold ?? []);
  if (!disclosures.ok) return disclosures;
  const wishes = options.photos ?? [];
  const unknown = wishes.find(({ sha256 }) => !folder.named.has(sha256));
  if (unknown !== undefined) {
    return flawed('bad-field', `The record names no photo ${unknown.sha256}.`);
  }
  const left = new Set(wishes.map(({ sha256 }) => photoPath(sha256)));
  const blurred = wishes.flatMap(({ blurred: shown }) =>
    shown === undefined
      ? []
      : [{ path: photoPath(shown.sha256), size: shown.size, open: () => shown.open() }],
  );
  const kept = folder.files.filter(({ path }) => !left.has(path));
  const there = new Set(kept.map(({ path }) => path));
  const passing = [...kept, ...blurred.filter(({ path }) => !there.has(path))];
  const changes = wishes.map(({ sha256, blurred: shown }): PhotoChange => {
    return shown === undefined ? { sha256 } : { sha256, shownAs: shown.sha256 };
  });
  return good({ disclosures: disclosures.value, passing, changes });
}

/** Files of the folder that are written anew here, or that no bag takes over. */
const MADE_HERE: ReadonlySet<string> = new Set([DISCLOSURES, KEYS, FRONT, FRONT_PDF, HOW_TO_CHECK]);

async function payloadOf(
  folder: RecordFolder,
  chosen: Chosen,
  options: BagOptions,
  primitives: Pick<Primitives, 'sha256'>,
): Promise<BagFile[]> {
  const { exporter, at } = options;
  const { key, publicKey, person } = exporter;
  const keys = folder.keys.some((one) => one.key === key)
    ? folder.keys
    : [
        ...folder.keys,
        { key, publicKey, person, since: at, enrolledBy: person, use: 'export' as const },
      ];
  const input: FrontInput = {
    language: options.language ?? 'en',
    sealed: folder.sealed,
    events: folder.events,
    checklist: folder.checklist,
    shown: folder.shown.get(options.language ?? 'en') ?? null,
    disclosures: chosen.disclosures,
    photos: new Set(
      chosen.passing.flatMap(({ path }) => {
        const place = placeOf(path);
        return place?.kind === 'photo' ? [place.sha256] : [];
      }),
    ),
    photoChanges: chosen.changes,
    keys,
    digests: {
      record: hex(primitives.sha256(folder.recordBytes)),
      checklist: hex(primitives.sha256(folder.checklistBytes)),
    },
    receipts: folder.receipts,
    timestamps: folder.timestamps,
  };
  const pdf = await options.pdf?.(input, async (sha256) => {
    const file = chosen.passing.find(({ path }) => path === photoPath(sha256));
    return file === undefined ? null : bytesOf(file);
  });
  return [
    ...chosen.passing.filter(({ path }) => !MADE_HERE.has(path)),
    fileOf(DISCLOSURES, disclosuresBytes(chosen.disclosures)),
    fileOf(KEYS, keyListBytes(keys)),
    fileOf(FRONT, frontBytes(input)),
    ...(pdf === undefined || pdf === null ? [] : [fileOf(FRONT_PDF, pdf)]),
    fileOf(HOW_TO_CHECK, utf8(HOW_TO_CHECK_TEXT)),
  ].sort((one, other) => (one.path < other.path ? -1 : 1));
}

type InfoBefore = Omit<BagInfo, 'octets' | 'streams'>;

async function* archiveOf(
  name: string,
  payload: readonly BagFile[],
  info: InfoBefore,
  { exporter }: BagOptions,
  primitives: Primitives,
): AsyncGenerator<Uint8Array> {
  const zip = new ZipWriter(primitives);
  const written = new Map<string, Written>();
  const tags = new Map<string, Written>();
  async function* put(file: BagFile, into: Map<string, Written>): AsyncGenerator<Uint8Array> {
    into.set(file.path, yield* zip.file(`${name}/${file.path}`, file));
  }
  for (const { path, size, open } of payload) {
    yield* put({ path: `data/${path}`, size, open }, written);
  }
  const octets = [...written.values()].reduce((sum, { size }) => sum + size, 0);
  const listed = [
    fileOf('bagit.txt', utf8(DECLARATION)),
    fileOf('bag-info.txt', utf8(bagInfoText({ ...info, octets, streams: written.size }))),
    ...ALGORITHMS.map((algorithm) =>
      fileOf(manifestPath(algorithm), utf8(manifestOf(written, algorithm))),
    ),
  ];
  for (const file of listed) yield* put(file, tags);
  const sealing = new Map<string, Written>();
  for (const algorithm of ALGORITHMS) {
    const text = manifestOf(tags, algorithm);
    yield* put(fileOf(tagManifestPath(algorithm), utf8(text)), sealing);
  }
  const text = manifestOf(tags, 'sha256');
  const note = await signNote(
    text,
    noteKeyOf(exporter),
    (message) => exporter.sign(message),
    primitives,
  );
  if (!note.ok) throw new TypeError(note.flaw.says);
  yield* put(fileOf(NOTE, utf8(note.value)), sealing);
  yield* zip.end();
}

function manifestOf(written: ReadonlyMap<string, Written>, algorithm: 'sha256' | 'sha512'): string {
  return manifestText([...written].map(([path, digests]) => [path, digests[algorithm]]));
}
