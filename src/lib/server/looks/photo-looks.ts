/** How stored photos look: decoded once, kept as 64 bits, so that the same picture saved again is recognized. */
import { setImmediate as otherWork } from 'node:timers/promises';
import { decode } from 'jpeg-js';
import { joined } from '#lib/core/record/index.ts';
import { lookOf } from '#lib/core/screen/photo-look.ts';
import type { Rows } from '../database/database.ts';
import type { PhotoShelf } from '../files/photo-shelf.ts';

/** A device sends 2048 pixels at most on the longer side. */
const LIMITS = { maxResolutionInMP: 5, maxMemoryUsageInMB: 96 } as const;
/** Decoding takes a fifth of a second; the rest waits for the next time. */
export const PHOTOS_AT_ONCE = 200;

/** @returns null for bytes that are no such picture, or one so plain that nothing tells it from another */
export function lookOfJpeg(bytes: Uint8Array): string | null {
  try {
    const { data, width, height } = decode(bytes, { ...LIMITS, useTArray: true });
    const luma = new Float32Array(width * height);
    // Rec. ITU-R BT.601: the brightness that JPEG itself is written in.
    for (let at = 0; at < luma.length; at += 1) {
      const from = at * 4;
      luma[at] =
        0.299 * (data[from] ?? 0) + 0.587 * (data[from + 1] ?? 0) + 0.114 * (data[from + 2] ?? 0);
    }
    return lookOf(luma, width, height);
  } catch {
    return null;
  }
}

/** Decodes complete photos that were not looked at yet. @returns how many */
export async function lookAtPhotos(
  rows: Rows,
  shelf: PhotoShelf,
  most = PHOTOS_AT_ONCE,
): Promise<number> {
  const waiting = await rows
    .selectFrom('photos')
    .leftJoin('photo_looks', 'photo_looks.sha256', 'photos.sha256')
    .select('photos.sha256')
    .where('photos.complete', '=', 1)
    .where('photo_looks.sha256', 'is', null)
    .orderBy('photos.sha256')
    .limit(most)
    .execute();
  for (const { sha256 } of waiting) {
    const parts: Uint8Array[] = [];
    for await (const part of shelf.read(sha256)) parts.push(part);
    await rows
      .insertInto('photo_looks')
      .values({ sha256, look: lookOfJpeg(joined(...parts)) })
      .onConflict((on) => on.column('sha256').doNothing())
      .execute();
    await otherWork();
  }
  return waiting.length;
}

/** By digest, of the photos that a job names. */
export async function looksOfJob(rows: Rows, jobNo: number): Promise<Map<string, string>> {
  const found = await rows
    .selectFrom('photo_uses')
    .innerJoin('photo_looks', 'photo_looks.sha256', 'photo_uses.sha256')
    .select(['photo_looks.sha256', 'photo_looks.look'])
    .where('photo_uses.job_no', '=', jobNo)
    .execute();
  return new Map(found.flatMap(({ sha256, look }) => (look === null ? [] : [[sha256, look]])));
}
