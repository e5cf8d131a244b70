/**
 * A job that goes on here: a record file from another device is read, believed only after every line and
 * signature was checked, and kept among the jobs of this device.
 *
 * Entries are only ever added. A file that holds what is here and more makes the job longer; one that tells
 * another story from some entry on is kept beside it as a fork, and this device's own stays as it is.
 */
import type { JobState } from '#lib/core/job/state.ts';
import { checkedKey, sameBytes, signatureStandsStrictly, textOf } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import { webPrimitives } from '#lib/crypto/web.ts';
import { readRecordFile } from './import.ts';
import type { ReadRecord } from './import.ts';
import { keepFork, keepKeys, takePen } from './pen.ts';
import { digest } from './photo-chunks.ts';
import type { Photo } from './photo.ts';
import type { ChecklistRow, DisclosureRow, JobRow } from './schema.ts';
import { NOWHERE, placeOf } from './store.ts';
import type { DeviceStore, Place, StoredJob } from './store.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

/**
 * `new`: it was not here. `longer`: it was, and `added` entries came on. `same`: everything in the file is
 * here already. `forked`: from entry `at` on the two tell different stories.
 */
export type TakenUp =
  | { readonly kind: 'new' | 'longer'; readonly job: string; readonly added: number }
  | { readonly kind: 'same'; readonly job: string }
  | { readonly kind: 'forked'; readonly job: string; readonly at: number };

/** Takes a job up from a file: `not-a-record` with what is wrong; nothing is kept then. */
export async function takeUp(store: DeviceStore, file: Blob): Promise<Result<TakenUp>> {
  const read = await readRecordFile(file);
  if (!read.ok) return read;
  const record = read.value;
  const { sealed, job } = record.folder;
  const doubt = await whyDoubted(record);
  if (doubt !== null) return notTaken(doubt);
  const held = await heldOf(store, job);
  if (!held.ok) return held;
  const here = held.value?.lines ?? [];
  const fork = here.findIndex((line, at) => {
    const there = sealed[at]?.line;
    return there !== undefined && !sameBytes(line, there);
  });
  if (fork !== -1) {
    const kept = await keepFork(store, job, {
      at: fork,
      lines: sealed.slice(fork).map(({ line }) => line.slice().buffer as ArrayBuffer),
    });
    return kept.ok ? done({ kind: 'forked', job, at: fork }) : kept;
  }
  const kept = await keepKeys(store, job, record.folder.keys);
  if (!kept.ok) return kept;
  if (sealed.length > here.length) {
    const added = await addRest(store, record, held.value);
    if (!added.ok) return added;
  }
  const pen = await takePen(store, job);
  if (!pen.ok) return pen;
  if (sealed.length <= here.length) return done({ kind: 'same', job });
  const kind = here.length === 0 ? 'new' : 'longer';
  return done({ kind, job, added: sealed.length - here.length });
}

async function heldOf(store: DeviceStore, job: string): Promise<Result<StoredJob | null>> {
  const stored = await store.readJob(job);
  if (stored.ok) return stored;
  return stored.trouble.code === 'unknown-job' ? done(null) : stored;
}

/** Why this record is not believed: a signature, a key or the list that it pins; null when it is. */
async function whyDoubted({ folder, state }: ReadRecord): Promise<string | null> {
  const opened = folder.events[0];
  const pinned = opened?.type === 'job.opened' ? opened.body.checklist.sha256 : '';
  if (pinned !== state.sha256) return 'Its checklist is not the one that its first entry pins.';
  const keys = new Map(folder.keys.map((known) => [known.key, known]));
  const checks = folder.sealed.map(async ({ entry, ...rest }) => {
    const known = keys.get(entry.key);
    if (known === undefined || known.person !== entry.by || !checkedKey(known.publicKey).ok)
      return entry.seq;
    const stands = await signatureStandsStrictly(
      { entry, ...rest },
      known.publicKey,
      webPrimitives,
    );
    return stands ? -1 : entry.seq;
  });
  const bad = (await Promise.all(checks)).find((seq) => seq !== -1);
  return bad === undefined ? null : `Entry ${bad} is not signed by the person that it names.`;
}

async function addRest(
  store: DeviceStore,
  record: ReadRecord,
  held: StoredJob | null,
): Promise<Result<void>> {
  const { folder, state } = record;
  const upon: Place = held === null ? NOWHERE : placeOf(held.row);
  const photos = await photosOf(record);
  if (!photos.ok) return photos;
  const list = checklistOf(record);
  return store.append({
    upon,
    lines: folder.sealed.slice(upon.count).map(({ line }) => line),
    row: rowOf(folder.sealed, state, list),
    disclosures: folder.disclosures.map(({ seq, digest: name, encoded }): DisclosureRow => {
      return { job: folder.job, seq, digest: name, disclosure: encoded };
    }),
    photos: photos.value,
    checklist: list,
  });
}

function rowOf(sealed: readonly SealedEntry[], state: JobState, list: ChecklistRow): JobRow {
  const [first, last] = [sealed[0], sealed.at(-1)];
  if (first === undefined || last === undefined) throw new Error('a record has a first entry');
  return {
    job: first.entry.job,
    count: sealed.length,
    head: last.hash,
    checklist: list.sha256,
    title: list.title,
    demo: state.demo,
    openedAt: first.entry.at,
    lastAt: last.entry.at,
    openedBy: first.entry.by,
    lastBy: last.entry.by,
    status: state.status,
  };
}

function checklistOf({ folder, state }: ReadRecord): ChecklistRow {
  const { id, revision, title } = folder.checklist;
  const json = textOf(folder.checklistBytes) ?? '';
  return { sha256: state.sha256, id, revision, title, text: folder.checklistText, json };
}

/** The photos of the file, each the one that its name says; those that were left out stay out. */
async function photosOf(record: ReadRecord): Promise<Result<readonly Photo[]>> {
  const photos: Photo[] = [];
  for (const sha256 of record.folder.named) {
    const bytes = await record.photo(sha256);
    if (bytes === null) continue;
    if (digest(bytes) !== sha256) return notTaken(`The photo ${sha256.slice(0, 8)}… was changed.`);
    photos.push({ sha256, bytes, ...(await sizeOf(bytes)), sharpness: 0 });
  }
  return done(photos);
}

async function sizeOf(bytes: Uint8Array): Promise<{ width: number; height: number }> {
  try {
    const bitmap = await createImageBitmap(new Blob([bytes.slice()], { type: 'image/jpeg' }));
    const { width, height } = bitmap;
    bitmap.close();
    return { width, height };
  } catch {
    return { width: 0, height: 0 }; /* no decoder here; the bytes are kept all the same */
  }
}

function notTaken(why: string): Result<never> {
  return failed(
    'not-a-record',
    `This record was not taken up. ${why} Nothing on this device was changed. Ask for the file again from the device that holds the job.`,
  );
}
