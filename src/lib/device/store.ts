/**
 * The records of this device.
 *
 * Invariant: entries are only ever added, at `[job, seq]`, in the same strict transaction as the new
 * head of their job, and only if the head is still the one they were sealed upon. What was added is
 * never changed or deleted here; only a disclosure can be erased, and the ballast given up.
 */
import { NO_PREV } from '#lib/core/record/index.ts';
import { giveUpBallast } from './ballast.ts';
import type { Connection, Writing } from './connection.ts';
import { dropPhoto, putPhoto, readPhoto } from './photo-chunks.ts';
import type { Photo } from './photo.ts';
import type { ChecklistRow, DisclosureRow, JobRow, PersonRow } from './schema.ts';
import { done, failed, standing } from './trouble.ts';
import type { Result } from './trouble.ts';

/** The place in a job's record that a batch was sealed upon. */
export interface Place {
  readonly count: number;
  /** Hash of the last line; 64 zeros for none. */
  readonly head: string;
}

export const NOWHERE: Place = { count: 0, head: NO_PREV };

/** What one tap adds: all of it is stored, or none. */
export interface Batch {
  readonly upon: Place;
  /** Lines without their line feed, sealed. */
  readonly lines: readonly Uint8Array[];
  /** The job's row as it is after the batch. */
  readonly row: JobRow;
  readonly disclosures?: readonly DisclosureRow[];
  /** Digests of disclosures and of photos to forget. */
  readonly erased?: readonly string[];
  readonly photos?: readonly Photo[];
  /** With the first batch of a job. */
  readonly checklist?: ChecklistRow;
}

/** What is stored of a job, as bytes; nothing in it has been checked yet. */
export interface StoredJob {
  readonly row: JobRow;
  readonly lines: readonly Uint8Array<ArrayBuffer>[];
  readonly disclosures: readonly DisclosureRow[];
}

const BATCH_STORES = ['jobs', 'entries', 'disclosures', 'photos', 'chunks', 'checklists'] as const;

export class DeviceStore {
  readonly connection: Connection;
  /** Tells that the ballast had to be given up: the disk is nearly full. */
  onBallastGiven: (freed: number) => void = () => {};
  /** Frees the room that second copies of photos take; answers whether there were any. */
  giveUpCopies: () => Promise<boolean> = () => Promise.resolve(false);

  constructor(connection: Connection) {
    this.connection = connection;
  }

  /**
   * Stores a batch, or nothing of it. When the disk is full the second copies of photos go, and then the
   * ballast, and the batch is tried once more; but with photos in it it is refused before the ballast
   * goes (`photo-full`), so that entries outlive photos.
   */
  async append(batch: Batch): Promise<Result<void>> {
    let first = await this.#append(batch);
    if (first.ok || first.trouble.code !== 'full') return first;
    if (await this.giveUpCopies()) first = await this.#append(batch);
    if (first.ok || first.trouble.code !== 'full') return first;
    if ((batch.photos ?? []).length > 0) return standing('photo-full');
    const freed = await giveUpBallast(this.connection);
    if (!freed.ok || freed.value === 0) return first;
    this.onBallastGiven(freed.value);
    return this.#append(batch);
  }

  /**
   * Asks everything of the store at once, because a tap waits for every answer of the browser's other process.
   * Where the head is another than the batch was sealed upon, all of it is undone and asked step by step.
   */
  async #append(batch: Batch): Promise<Result<void>> {
    const { row, upon } = batch;
    const stores = [...BATCH_STORES];
    const atOnce = await this.connection.write(stores, (tx) => addAtOnce(tx, batch));
    if (atOnce.ok || atOnce.trouble.code !== 'moved') return atOnce;
    return this.connection.write(stores, async (tx) => {
      const { place, taken } = await heldOf(tx, batch);
      if (samePlace(place, row)) return done(undefined);
      if (!samePlace(place, upon)) return standing('moved');
      // The head said that this place is free; if it is not, adding would fail and tell less.
      return taken ? damagedHead(row.job) : finished(tx, batch, adding(tx, batch));
    });
  }

  /** Every job on the device, the newest first. */
  async listJobs(): Promise<Result<readonly JobRow[]>> {
    const rows = await this.connection.read(['jobs'], async (tx) =>
      done(await tx.objectStore('jobs').getAll()),
    );
    return rows.ok ? done(rows.value.sort((a, b) => (a.job < b.job ? 1 : -1))) : rows;
  }

  async readJob(job: string): Promise<Result<StoredJob>> {
    const all = IDBKeyRange.bound([job], [job, []]);
    return this.connection.read(['jobs', 'entries', 'disclosures'], async (tx) => {
      const [row, lines, disclosures] = await Promise.all([
        tx.objectStore('jobs').get(job),
        tx.objectStore('entries').getAll(all),
        tx.objectStore('disclosures').getAll(all),
      ]);
      if (row === undefined) return unknownJob(job);
      return done({ row, lines: lines.map((line) => new Uint8Array(line)), disclosures });
    });
  }

  /** The row of a job alone, which says what it runs on; `unknown-job` when there is none. */
  async readRow(job: string): Promise<Result<JobRow>> {
    return this.connection.read(['jobs'], async (tx) => {
      const row = await tx.objectStore('jobs').get(job);
      return row === undefined ? unknownJob(job) : done(row);
    });
  }

  async headOf(job: string): Promise<Result<Place>> {
    return this.connection.read(['jobs'], async (tx) =>
      done(placeOf(await tx.objectStore('jobs').get(job))),
    );
  }

  readPhoto(sha256: string): ReturnType<typeof readPhoto> {
    return readPhoto(this.connection, sha256);
  }

  /** Which of these photos are not stored. */
  async photosMissing(digests: readonly string[]): Promise<Result<readonly string[]>> {
    return this.connection.read(['photos'], async (tx) => {
      const keys = await Promise.all(digests.map((each) => tx.objectStore('photos').getKey(each)));
      return done(digests.filter((_, at) => keys[at] === undefined));
    });
  }

  async readChecklist(sha256: string): Promise<Result<ChecklistRow>> {
    return this.connection.read(['checklists'], async (tx) => {
      const row = await tx.objectStore('checklists').get(sha256);
      if (row !== undefined) return done(row);
      return failed(
        'unknown-checklist',
        `The checklist that this job runs on (${sha256.slice(0, 8)}…) is not on this device, so its steps cannot be shown. The record is kept and can be exported.`,
      );
    });
  }

  /** The private values of the jobs in a list, those named so (the site, say), by job. */
  async disclosuresOf(job: string): Promise<Result<readonly DisclosureRow[]>> {
    return this.connection.read(['disclosures'], async (tx) =>
      done(await tx.objectStore('disclosures').getAll(IDBKeyRange.bound([job], [job, []]))),
    );
  }

  async listPeople(): Promise<Result<readonly PersonRow[]>> {
    return this.connection.read(['people'], async (tx) =>
      done(await tx.objectStore('people').getAll()),
    );
  }

  async savePerson(person: PersonRow): Promise<Result<void>> {
    return this.connection.write(['people'], async (tx) => {
      await tx.objectStore('people').put(person);
      return done(undefined);
    });
  }

  /** A setting as it was saved, or undefined. Untrusted: its reader checks the shape. */
  async readSetting(name: string): Promise<Result<unknown>> {
    return this.connection.read(['settings'], async (tx) =>
      done(await tx.objectStore('settings').get(name)),
    );
  }

  async saveSetting(name: string, value: unknown): Promise<Result<void>> {
    return this.connection.write(['settings'], async (tx) => {
      await tx.objectStore('settings').put(value, name);
      return done(undefined);
    });
  }
}

function unknownJob(job: string): Result<never> {
  return failed(
    'unknown-job',
    `No job ${job} is kept on this device. If it was recorded here before, the browser may have cleared its storage; look for it on the other devices of the job.`,
  );
}

export function placeOf(row: JobRow | undefined): Place {
  return row === undefined ? NOWHERE : { count: row.count, head: row.head };
}

function samePlace(one: Place, other: Place): boolean {
  return one.count === other.count && one.head === other.head;
}

/** `moved` where the job is not what the batch was sealed upon, or its place is taken: nothing is added then. */
async function addAtOnce(tx: Writing, batch: Batch): Promise<Result<void>> {
  const kept = tx.objectStore('jobs').get(batch.row.job);
  // What is undone fails as well, and nobody waits for it; nor for this where a store refuses at once.
  kept.catch(() => {});
  const added = adding(tx, batch);
  added.catch(() => {});
  if (!samePlace(placeOf(await kept), batch.upon)) return standing('moved');
  try {
    return await finished(tx, batch, added);
  } catch (error) {
    if (error instanceof DOMException && error.name === 'ConstraintError') return standing('moved');
    throw error;
  }
}

/** The head of the job as it is stored, and whether there is an entry where the batch would begin. */
async function heldOf(
  tx: Writing,
  { row, upon }: Batch,
): Promise<{ readonly place: Place; readonly taken: boolean }> {
  const [kept, key] = await Promise.all([
    tx.objectStore('jobs').get(row.job),
    tx.objectStore('entries').getKey([row.job, upon.count]),
  ]);
  return { place: placeOf(kept), taken: key !== undefined };
}

/** Asks for all of the batch but its photos to be stored. */
function adding(tx: Writing, { row, upon, ...batch }: Batch): Promise<unknown> {
  const entries = tx.objectStore('entries');
  return Promise.all([
    ...batch.lines.map((line, at) => entries.add(exact(line), [row.job, upon.count + at])),
    ...(batch.disclosures ?? []).map((each) => tx.objectStore('disclosures').put(each)),
    ...(batch.erased ?? []).flatMap((each) => [
      tx.objectStore('disclosures').delete([row.job, each]),
      ...dropPhoto(tx, each),
    ]),
    ...(batch.checklist ? [tx.objectStore('checklists').put(batch.checklist)] : []),
    tx.objectStore('jobs').put(row),
  ]);
}

async function finished(
  tx: Writing,
  { row, photos = [] }: Batch,
  added: Promise<unknown>,
): Promise<Result<void>> {
  // Nothing more is asked of it, and it need not wait until it is told so. What fails still undoes all.
  if (photos.length === 0) tx.commit();
  await added;
  for (const photo of photos) await putPhoto(tx, photo, row.job);
  return done(undefined);
}

function damagedHead(job: string): Result<void> {
  return failed(
    'damaged',
    `The list of jobs and the entries of job ${job} no longer agree: there is an entry beyond the one listed as last. Nothing was changed or deleted. Export this record, and go on in a new job.`,
  );
}

/** Only these bytes, not the buffer they may be a window on. */
function exact(line: Uint8Array): ArrayBuffer {
  return line.slice().buffer as ArrayBuffer;
}
