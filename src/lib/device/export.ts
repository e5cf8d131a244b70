/**
 * A job on its way out of the device: as an evidence bag, as a plain record folder, or, when it does not
 * read any more, just as it is stored.
 *
 * All of this is loaded when somebody exports; a job that is only worked on never needs it.
 */
import { fileOf } from '#lib/core/bag/bag-file.ts';
import type { BagFile } from '#lib/core/bag/bag-file.ts';
import type { FrontLanguage } from '#lib/core/bag/front/words.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { writeBag } from '#lib/core/bag/write-bag.ts';
import type { BagOptions, PhotoWish } from '#lib/core/bag/write-bag.ts';
import { ZipWriter } from '#lib/core/bag/zip-writer.ts';
import type { KnownKey } from '#lib/core/bag/keys.ts';
import { utf8 } from '#lib/core/record/index.ts';
import { webPrimitives } from '#lib/crypto/web.ts';
import { photosKept } from './afterword.ts';
import { hiddenIn } from './blur.ts';
import type { Region } from './blur.ts';
import { keptChecklist } from './checklists.ts';
import { publicKeys, signerOf } from './keys.ts';
import { drawsPaper, paperOfFront } from './paper/paper.ts';
import { foreignKeys } from './pen.ts';
import { readEntries } from './read-job.ts';
import { Outbox } from './sync/outbox.ts';
import type { Recorded } from './read-job.ts';
import type { DeviceStore, StoredJob } from './store.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

export interface Download {
  /** Name of the file. */
  readonly name: string;
  readonly blob: Blob;
  /** Digests of photos that the record names and that could not be put in. */
  readonly without: readonly string[];
  /** Whether the front page is in it as a PDF too. */
  readonly paper: boolean;
}

export interface BagWishes {
  /** Who seals the bag: a person with a key on this device. */
  readonly by: string;
  /** Wall time of the export, RFC 3339. */
  readonly at: string;
  /** The version of this program. */
  readonly software: string;
  /** Names of private values to leave out, such as `site`. */
  readonly withhold?: readonly string[];
  /** Photos to leave out, or to show with some regions made unreadable. */
  readonly photos?: readonly { readonly sha256: string; readonly regions?: readonly Region[] }[];
  /** Language of the front page; English when absent. */
  readonly language?: FrontLanguage;
}

/** The evidence bag of a job; photos that are gone are left out, and the bag says so. */
export async function exportBag(
  store: DeviceStore,
  job: string,
  wishes: BagWishes,
): Promise<Result<Download>> {
  const folder = await folderOf(store, job);
  if (!folder.ok) return folder;
  const exporter = await signerOf(store.connection, wishes.by);
  if (!exporter.ok) return exporter;
  const { files, without } = folder.value;
  const { at, software, withhold, language } = wishes;
  const photos = await photoWishes(store, wishes.photos ?? [], without);
  if (!photos.ok) return photos;
  const options: BagOptions = {
    exporter: exporter.value,
    at,
    software,
    photos: [...without.map((sha256) => ({ sha256 })), ...photos.value],
    ...(withhold === undefined ? {} : { withhold }),
    ...(language === undefined ? {} : { language }),
  };
  // Without its PDF a bag is still whole, so one that could not be drawn keeps nobody from the rest.
  let paper = drawsPaper();
  const pdf: BagOptions['pdf'] = (input, photo) =>
    paperOfFront(input, photo).catch(() => {
      paper = false;
      return null;
    });
  const bag = await writeBag(files, paper ? { ...options, pdf } : options, webPrimitives);
  if (!bag.ok) return notExported(bag.flaw.says);
  const blob = await collected(bag.value.bytes);
  return blob.ok ? done({ name: `${bag.value.name}.zip`, blob: blob.value, without, paper }) : blob;
}

/** What the bag is to show of the photos: those that are gone already are named by the folder. */
async function photoWishes(
  store: DeviceStore,
  wishes: Required<BagWishes>['photos'],
  without: readonly string[],
): Promise<Result<Required<BagOptions>['photos']>> {
  const made: PhotoWish[] = [];
  for (const { sha256, regions = [] } of wishes) {
    if (without.includes(sha256)) continue;
    if (regions.length === 0) {
      made.push({ sha256 });
      continue;
    }
    const read = await store.readPhoto(sha256);
    if (!read.ok) return read;
    const hidden = await hiddenIn(read.value.bytes, regions);
    if (!hidden.ok) return hidden;
    const { sha256: shown, bytes } = hidden.value;
    made.push({ sha256, blurred: { sha256: shown, size: bytes.length, open: () => [bytes] } });
  }
  return done(made);
}

/** The record folder of a job in a ZIP file, for `stillwire bag` or another device. */
export async function exportFolder(store: DeviceStore, job: string): Promise<Result<Download>> {
  const folder = await folderOf(store, job);
  if (!folder.ok) return folder;
  const { files, without } = folder.value;
  const blob = await zipped(files);
  return blob.ok
    ? done({ name: `${job}-record.zip`, blob: blob.value, without, paper: false })
    : blob;
}

/** Whatever is stored of a job, unchecked: the way out for a record that does not read any more. */
export async function exportRaw(store: DeviceStore, job: string): Promise<Result<Download>> {
  const stored = await store.readJob(job);
  if (!stored.ok) return stored;
  const { row, lines, disclosures } = stored.value;
  const checklist = await store.readChecklist(row.checklist);
  const files = [
    ...lines.map((line, at) => fileOf(`lines/${String(at).padStart(6, '0')}`, line)),
    fileOf('disclosures.json', utf8(JSON.stringify(disclosures, null, 2))),
    fileOf('row.json', utf8(JSON.stringify(row, null, 2))),
    fileOf('read-me.txt', utf8(RAW)),
    ...(checklist.ok ? [fileOf('checklist.yaml', utf8(checklist.value.text))] : []),
  ];
  const blob = await zipped(files);
  return blob.ok
    ? done({ name: `${job}-as-stored.zip`, blob: blob.value, without: [], paper: false })
    : blob;
}

const RAW =
  'What a device held of one job, byte for byte, taken out because its record did not read back as it\n' +
  'was written. Every file in "lines" is one entry, in order. Nothing here has been checked or mended.\n';

interface Folder {
  readonly files: readonly BagFile[];
  readonly without: readonly string[];
}

async function folderOf(store: DeviceStore, job: string): Promise<Result<Folder>> {
  const stored = await store.readJob(job);
  if (!stored.ok) return stored;
  const entries = readEntries(stored.value);
  if (!entries.ok) return entries;
  const kept = await store.readChecklist(stored.value.row.checklist);
  if (!kept.ok) return kept;
  const loaded = keptChecklist(kept.value, job);
  if (!loaded.ok) return loaded;
  const keys = await keysOf(store, job, entries.value);
  if (!keys.ok) return keys;
  const photos = await photosOf(store, entries.value);
  const receipts = await receiptsOf(store, job);
  if (!receipts.ok) return receipts;
  const { checklist, row } = loaded.value;
  const files = recordFolderFiles({
    lines: stored.value.lines,
    disclosures: inOrder(stored.value),
    checklist: { yaml: row.text, json: JSON.parse(row.json), checklist },
    keys: keys.value,
    photos: photos.there,
    receipts: receipts.value,
  });
  return done({ files, without: photos.gone });
}

/** What the server has signed for, entry by entry. */
async function receiptsOf(
  store: DeviceStore,
  job: string,
): Promise<Result<ReadonlyMap<number, Uint8Array>>> {
  const kept = await new Outbox(store).receipts(job);
  if (!kept.ok) return kept;
  return done(new Map([...kept.value].map(([seq, text]) => [seq, utf8(text)])));
}

function inOrder({ disclosures }: StoredJob): StoredJob['disclosures'] {
  return [...disclosures].sort((a, b) => a.seq - b.seq || (a.digest < b.digest ? -1 : 1));
}

async function keysOf(
  store: DeviceStore,
  job: string,
  entries: readonly Recorded[],
): Promise<Result<readonly KnownKey[]>> {
  const all = await publicKeys(store.connection);
  if (!all.ok) return all;
  const foreign = await foreignKeys(store, job);
  if (!foreign.ok) return foreign;
  const used = new Set(entries.map(({ sealed }) => sealed.entry.key));
  const own = all.value
    .filter(({ thumbprint }) => used.has(thumbprint))
    .map(({ thumbprint: key, publicKey, person, since, enrolledBy }): KnownKey => {
      return { key, publicKey, person, since, enrolledBy, use: 'entries' };
    });
  const others = foreign.value.filter(
    ({ key }) => used.has(key) && !own.some((each) => each.key === key),
  );
  const known = [...own, ...others];
  if (known.length === used.size) return done(known);
  return failed(
    'no-key',
    `A key that signed entries of this job is not on this device any more, so nobody could check them. The record is kept as it is. Export it as it is stored, and look for the key on the device that made it.`,
  );
}

/** What the record says was erased is not looked for: it is not withheld as well. */
async function photosOf(store: DeviceStore, entries: readonly Recorded[]) {
  const there: (Omit<BagFile, 'path'> & { readonly sha256: string })[] = [];
  const gone: string[] = [];
  for (const sha256 of photosKept(entries).sort()) {
    const read = await store.readPhoto(sha256);
    if (!read.ok) gone.push(sha256);
    else there.push({ sha256, size: read.value.bytes.length, open: () => again(store, sha256) });
  }
  return { there, gone };
}

/** One photo at a time is held, however many there are. */
async function* again(store: DeviceStore, sha256: string): AsyncGenerator<Uint8Array> {
  const read = await store.readPhoto(sha256);
  if (!read.ok) throw new Error(read.trouble.says);
  yield read.value.bytes;
}

function zipped(files: readonly BagFile[]): Promise<Result<Blob>> {
  const zip = new ZipWriter(webPrimitives);
  return collected(
    (async function* () {
      for (const file of files) yield* zip.file(file.path, file);
      yield* zip.end();
    })(),
  );
}

async function collected(bytes: AsyncIterable<Uint8Array>): Promise<Result<Blob>> {
  const parts: BlobPart[] = [];
  try {
    for await (const part of bytes) parts.push(part as Uint8Array<ArrayBuffer>);
  } catch (error) {
    return notExported(error instanceof Error ? error.message : 'Reading failed.');
  }
  return done(new Blob(parts, { type: 'application/zip' }));
}

function notExported(why: string): Result<never> {
  return failed('not-exported', `It could not be exported. ${why} The record is kept as it is.`);
}
