/** Every byte of a small bag flipped in turn: none passes unnoticed. */
import { describe, expect, it } from 'vitest';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { sourceOf } from '#lib/core/bag/source.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { contentsOf, openArchive } from '#lib/core/bag/zip-reader.ts';
import type { ZipFile } from '#lib/core/bag/zip-reader.ts';
import { lampPieces, packed, trusted } from '../support/a-bag.ts';

const bag = await packed(recordFolderFiles(await lampPieces()));
const clean = await openArchive(sourceOf(bag));
const files = clean.ok ? clean.value.files : [];

/** Flips one bit of one byte, asks, and puts it back. */
async function flipped<T>(at: number, ask: () => Promise<T>): Promise<T> {
  const was = bag[at] ?? 0;
  bag[at] = was ^ (1 << (at % 8));
  const answer = await ask();
  bag[at] = was;
  return answer;
}

/** What the verifier does first with the one file that a byte lies in. */
async function contentBreaks(file: ZipFile): Promise<boolean> {
  try {
    for await (const bytes of contentsOf(sourceOf(bag), file, nodePrimitives)) void bytes;
    return false;
  } catch {
    return true;
  }
}

const inside = (file: ZipFile, at: number): boolean =>
  at >= file.data && at < file.data + file.packed;

describe('in the archive', () => {
  it('every flipped byte of a file breaks its sum', async () => {
    let flips = 0;
    for (const file of files) {
      for (let at = file.data; at < file.data + file.packed; at += 1) {
        if (!(await flipped(at, () => contentBreaks(file))))
          expect.fail(`byte ${at} of ${file.name}`);
        flips += 1;
      }
    }
    expect(flips).toBeGreaterThan(40_000);
  });

  it('every other flipped byte fails the verifier, or is remarked on where it means nothing', async () => {
    const noticed = { failed: 0, remarked: 0 };
    for (let at = 0; at < bag.length; at += 1) {
      // One byte in 97 of the files as well, so that the verifier is seen to heed what the sum says.
      if (files.some((file) => inside(file, at)) && at % 97 !== 0) continue;
      const report = await flipped(at, () => verifyBag(bag, trusted, nodePrimitives));
      const remarked = report.findings.some(({ code }) => code === 'archive-repacked');
      if (report.ok && !remarked) expect.fail(`byte ${at} passes unnoticed`);
      noticed[report.ok ? 'remarked' : 'failed'] += 1;
    }
    expect(noticed.failed).toBeGreaterThan(3000);
    // The "made by" and attribute fields of the directory at most: the verifier says "repacked".
    expect(noticed.remarked).toBeLessThanOrEqual(files.length * 10);
  }, 30_000);
});
