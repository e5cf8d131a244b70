/** What is kept beside the log: photos by their hash, private values by the digest in their entry. */
import { createHash } from 'node:crypto';
import { readDisclosure, readLine } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import type { PhotoShelf } from '../files/photo-shelf.ts';
import type { Findings } from './report.ts';

const AT_ONCE = 500;

/** @param shelf where their bytes are read from */
export async function checkPhotos(
  rows: Rows,
  shelf: PhotoShelf,
  findings: Findings,
): Promise<void> {
  for (let after = ''; ;) {
    const photos = await rows
      .selectFrom('photos')
      .selectAll()
      .where('complete', '=', 1)
      .where('sha256', '>', after)
      .orderBy('sha256')
      .limit(AT_ONCE)
      .execute();
    for (const { sha256, size } of photos) {
      const found = await hashOfPhoto(shelf, sha256);
      if (found.sha256 !== sha256 || found.size !== size)
        findings.fail('photos', `Photo ${sha256} is not the bytes that it was stored as.`);
    }
    const last = photos.at(-1);
    if (last === undefined) return;
    after = last.sha256;
  }
}

async function hashOfPhoto(
  shelf: PhotoShelf,
  sha256: string,
): Promise<{ sha256: string; size: number }> {
  const hash = createHash('sha256');
  let size = 0;
  for await (const bytes of shelf.read(sha256)) {
    hash.update(bytes);
    size += bytes.length;
  }
  return { sha256: hash.digest('hex'), size };
}

export async function checkDisclosures(rows: Rows, findings: Findings): Promise<void> {
  for (let after: { job_no: number; digest: string } = { job_no: -1, digest: '' }; ;) {
    const { job_no, digest } = after;
    const kept = await rows
      .selectFrom('disclosures')
      .selectAll()
      .where((is) =>
        is.or([
          is('job_no', '>', job_no),
          is.and([is('job_no', '=', job_no), is('digest', '>', digest)]),
        ]),
      )
      .orderBy('job_no')
      .orderBy('digest')
      .limit(AT_ONCE)
      .execute();
    for (const row of kept) {
      const read = readDisclosure(row.encoded, nodePrimitives);
      const fits = read.ok && read.value.digest === row.digest && (await isNamed(rows, row));
      if (!fits)
        findings.fail(
          'disclosures',
          `A private value of entry ${row.seq} (job number ${row.job_no}) fits no digest of it.`,
        );
    }
    const last = kept.at(-1);
    if (last === undefined) return;
    after = last;
  }
}

async function isNamed(
  rows: Rows,
  { job_no, seq, digest }: { job_no: number; seq: number; digest: string },
): Promise<boolean> {
  const entries = await rows
    .selectFrom('leaves')
    .select('line')
    .where('job_no', '=', job_no)
    .where('seq', '=', seq)
    .execute();
  return entries.some(({ line }) => {
    const read = readLine(line, nodePrimitives);
    return read.ok && (read.value.entry._sd ?? []).includes(digest);
  });
}
