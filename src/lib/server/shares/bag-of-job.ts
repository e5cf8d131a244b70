/** The evidence bag of one job, from what is stored here. */
import type { BagFile } from '#lib/core/bag/bag-file.ts';
import type { KnownKey } from '#lib/core/bag/keys.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { writeBag } from '#lib/core/bag/write-bag.ts';
import type { BagBeingWritten } from '#lib/core/bag/write-bag.ts';
import { readLine, utf8 } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import { checklistOf } from '../files/checklist-shelf.ts';
import type { PhotoShelf } from '../files/photo-shelf.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { receiptsOf } from '../log/receipts.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';
import { enrolledKeys } from './trust-list.ts';

export interface BagAsked {
  readonly jobNo: number;
  /** Names of private values to leave out. */
  readonly withhold: readonly string[];
  readonly now: number;
  readonly software: string;
}

/** @returns the bag, its bytes not yet made */
export async function bagOfJob(
  rows: Rows,
  log: OrganisationLog,
  shelf: PhotoShelf,
  { jobNo, withhold, now, software }: BagAsked,
): Promise<Answered<BagBeingWritten>> {
  const job = await rows
    .selectFrom('jobs')
    .select(['checklist_sha256', 'job'])
    .where('no', '=', jobNo)
    .executeTakeFirst();
  const checklist = job === undefined ? null : await checklistOf(rows, job.checklist_sha256);
  if (checklist === null)
    return refused(
      409,
      'not-whole',
      'The checklist of this job has not come in yet, so no bag can be made. Try again when its device was heard of.',
    );
  const leaves = await rows
    .selectFrom('leaves')
    .select(['idx', 'seq', 'line'])
    .where('job_no', '=', jobNo)
    .where('side', '=', 0)
    .orderBy('seq')
    .execute();
  const lines = leaves.map(({ line }) => new Uint8Array(line));
  const receipts = await receiptsOf(
    rows,
    log.shelf,
    leaves.map(({ idx }) => idx),
  );
  const files = recordFolderFiles({
    lines,
    disclosures: await disclosuresOf(rows, jobNo),
    checklist,
    keys: await keysOf(rows, lines),
    photos: await photosOf(rows, shelf, jobNo),
    receipts: new Map(
      leaves.map(({ idx, seq }) => [seq ?? 0, utf8(receipts.get(idx) ?? '')] as const),
    ),
  });
  const written = await writeBag(
    files,
    {
      exporter: { ...log.key, person: 'office' },
      at: new Date(now).toISOString(),
      software,
      withhold,
    },
    nodePrimitives,
  );
  return written.ok ? answered(written.value) : refused(409, 'no-bag', written.flaw.says);
}

async function disclosuresOf(rows: Rows, jobNo: number) {
  const kept = await rows
    .selectFrom('disclosures')
    .select(['seq', 'encoded'])
    .where('job_no', '=', jobNo)
    .orderBy('seq')
    .orderBy('digest')
    .execute();
  return kept.map(({ seq, encoded }) => ({ seq, disclosure: encoded }));
}

/** The keys that signed these lines. */
async function keysOf(rows: Rows, lines: readonly Uint8Array[]): Promise<KnownKey[]> {
  const used = new Set<string>();
  for (const line of lines) {
    const read = readLine(line, nodePrimitives);
    if (read.ok) used.add(read.value.entry.key);
  }
  return enrolledKeys(rows, [...used]);
}

async function photosOf(
  rows: Rows,
  shelf: PhotoShelf,
  jobNo: number,
): Promise<(Omit<BagFile, 'path'> & { readonly sha256: string })[]> {
  const uses = await rows
    .selectFrom('photo_uses')
    .select('sha256')
    .where('job_no', '=', jobNo)
    .orderBy('sha256')
    .execute();
  const photos = [];
  for (const { sha256 } of uses) {
    const photo = await shelf.look(sha256);
    if (photo === null) continue;
    photos.push({ sha256, size: photo.size, open: () => shelf.read(sha256) });
  }
  return photos;
}
