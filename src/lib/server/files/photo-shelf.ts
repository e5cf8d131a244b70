/**
 * Photos by the SHA-256 of their bytes: sent in parts, taken up again where they stopped, believed only
 * when the whole has the hash that is its name. Only photos that an entry names are taken.
 */
import { createHash } from 'node:crypto';
import type { Database, Rows, Writing } from '../database/database.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';

export const LARGEST_PHOTO = 12 * 1024 * 1024;
export const LARGEST_PART = 1024 * 1024;
const SHA256 = /^[0-9a-f]{64}$/;

export interface PhotoState {
  readonly received: number;
  readonly complete: boolean;
}

/** One part of a photo, as it is sent. */
export interface PhotoPart {
  readonly sha256: string;
  /** Bytes of the whole photo. */
  readonly size: number;
  /** Where in it the part begins. */
  readonly start: number;
  readonly bytes: Uint8Array;
}

const NOT_NAMED = refused(
  404,
  'not-named',
  'No entry that is stored here names this photo. Send the entries first, then their photos.',
);

export function isPhotoName(text: string): boolean {
  return SHA256.test(text);
}

export async function photoState(rows: Rows, sha256: string): Promise<Answered<PhotoState>> {
  if (!isPhotoName(sha256) || !(await isNamed(rows, sha256))) return NOT_NAMED;
  const held = await rows
    .selectFrom('photos')
    .select(['received', 'complete'])
    .where('sha256', '=', sha256)
    .executeTakeFirst();
  return answered({ received: held?.received ?? 0, complete: held?.complete === 1 });
}

/** Adds a part at the place where the photo stopped; `wrong-place` tells where that is. */
export async function addPart(
  database: Database,
  part: PhotoPart,
  now: number,
): Promise<Answered<PhotoState>> {
  const { sha256, size, start, bytes } = part;
  const whole = Number.isSafeInteger(size) && size > 0 && size <= LARGEST_PHOTO;
  if (!whole || !Number.isSafeInteger(start) || start < 0)
    return refused(422, 'bad-size', `A photo has between 1 and ${LARGEST_PHOTO} bytes.`);
  if (bytes.length === 0 || bytes.length > LARGEST_PART || start + bytes.length > size)
    return refused(422, 'bad-size', 'The part is empty, too large, or goes beyond the photo.');
  return database.rows.transaction().execute(async (rows) => {
    if (!isPhotoName(sha256) || !(await isNamed(rows, sha256))) return NOT_NAMED;
    await rows
      .insertInto('photos')
      .values({ sha256, size, received: 0, complete: 0, touched_at: now })
      .onConflict((on) => on.column('sha256').doNothing())
      .execute();
    const { numUpdatedRows } = await rows
      .updateTable('photos')
      .set({ received: start + bytes.length, touched_at: now })
      .where('sha256', '=', sha256)
      .where('complete', '=', 0)
      .where('size', '=', size)
      .where('received', '=', start)
      .executeTakeFirst();
    if (numUpdatedRows !== 1n) return elsewhere(rows, sha256);
    await rows.insertInto('photo_parts').values({ sha256, start, bytes }).execute();
    if (start + bytes.length < size)
      return answered({ received: start + bytes.length, complete: false });
    return completed(rows, sha256, size);
  });
}

async function completed(
  rows: Writing,
  sha256: string,
  size: number,
): Promise<Answered<PhotoState>> {
  const hash = createHash('sha256');
  let first: Uint8Array | null = null;
  for await (const bytes of photoParts(rows, sha256)) {
    first ??= bytes;
    hash.update(bytes);
  }
  const fits = hash.digest('hex') === sha256;
  if (fits && first !== null && isPicture(first)) {
    await rows.updateTable('photos').set({ complete: 1 }).where('sha256', '=', sha256).execute();
    return answered({ received: size, complete: true });
  }
  await rows.deleteFrom('photo_parts').where('sha256', '=', sha256).execute();
  await rows.deleteFrom('photos').where('sha256', '=', sha256).execute();
  return fits
    ? refused(422, 'no-photo', 'This is no JPEG, PNG or WebP picture. Nothing of it was kept.')
    : refused(
        422,
        'wrong-hash',
        'The bytes are not those that the name of the photo says. Nothing of it was kept; send it from its beginning.',
      );
}

async function elsewhere(rows: Rows, sha256: string): Promise<Answered<PhotoState>> {
  const { received, complete } = await rows
    .selectFrom('photos')
    .select(['received', 'complete'])
    .where('sha256', '=', sha256)
    .executeTakeFirstOrThrow();
  if (complete === 1) return answered({ received, complete: true });
  return {
    ...refused(409, 'wrong-place', `The photo goes on at byte ${received}. Nothing was added.`),
    ...{ received },
  };
}

/** The parts of a photo in order. */
export async function* photoParts(rows: Rows, sha256: string): AsyncGenerator<Uint8Array> {
  for (let start = 0; ;) {
    const part = await rows
      .selectFrom('photo_parts')
      .select('bytes')
      .where('sha256', '=', sha256)
      .where('start', '=', start)
      .executeTakeFirst();
    if (part === undefined) return;
    yield part.bytes;
    start += part.bytes.length;
  }
}

/** Size and kind of a photo that is complete; null when it is not. */
export async function photoOf(
  rows: Rows,
  sha256: string,
): Promise<{ readonly size: number; readonly type: string } | null> {
  if (!isPhotoName(sha256)) return null;
  const found = await rows
    .selectFrom('photos')
    .innerJoin('photo_parts', 'photo_parts.sha256', 'photos.sha256')
    .select(['photos.size', 'photo_parts.bytes'])
    .where('photos.sha256', '=', sha256)
    .where('photos.complete', '=', 1)
    .where('photo_parts.start', '=', 0)
    .executeTakeFirst();
  const type = found === undefined ? null : pictureType(found.bytes);
  return found === undefined || type === null ? null : { size: found.size, type };
}

async function isNamed(rows: Rows, sha256: string): Promise<boolean> {
  const use = await rows
    .selectFrom('photo_uses')
    .select('job_no')
    .where('sha256', '=', sha256)
    .executeTakeFirst();
  return use !== undefined;
}

function isPicture(first: Uint8Array): boolean {
  return pictureType(first) !== null;
}

/** By the first bytes: JPEG (ISO 10918-1), PNG (ISO 15948), WebP (RFC 9649). */
function pictureType(bytes: Uint8Array): string | null {
  const text = Buffer.from(bytes.subarray(0, 12)).toString('latin1');
  if (text.startsWith('\xff\xd8\xff')) return 'image/jpeg';
  if (text.startsWith('\x89PNG\r\n\x1a\n')) return 'image/png';
  if (text.startsWith('RIFF') && text.endsWith('WEBP')) return 'image/webp';
  return null;
}
