/**
 * Photos by the SHA-256 of their bytes: sent in parts, taken up again where they stopped, believed only
 * when the whole has the hash that is its name. Only photos that an entry names are taken.
 *
 * Parts are kept in the database. A whole photo stays there, or goes to another place, and counts as
 * complete once it is kept where it belongs.
 */
import { createHash } from 'node:crypto';
import type { Rows, Writing } from '../database/database.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';
import { PlaceTrouble } from './photo-place.ts';
import type { KeptPhoto, PhotoPlace } from './photo-place.ts';

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
const PLACE_AWAY = refused(
  503,
  'photos-away',
  'The storage for photos does not answer at the moment. What was sent of this one is kept; ask again later.',
);

export function isPhotoName(text: string): boolean {
  return SHA256.test(text);
}

export class PhotoShelf {
  readonly #rows: Rows;
  readonly #place: PhotoPlace | null;
  readonly #trouble: (trouble: PlaceTrouble) => void;

  /**
   * @param place where whole photos go; null: they stay in the database
   * @param trouble hears when that place does not answer
   */
  constructor(
    rows: Rows,
    place: PhotoPlace | null,
    trouble: (trouble: PlaceTrouble) => void = () => {},
  ) {
    this.#rows = rows;
    this.#place = place;
    this.#trouble = trouble;
  }

  /** How much of a photo is here: where sending goes on. */
  async state(sha256: string): Promise<Answered<PhotoState>> {
    const rows = this.#rows;
    if (!isPhotoName(sha256) || !(await isNamed(rows, sha256))) return NOT_NAMED;
    const held = await heldOf(rows, sha256);
    // All of it is here, but it was not put away: the place was gone, or this program ended.
    if (held?.complete === 0 && held.received === held.size) return this.#finish(sha256, held.size);
    return answered({ received: held?.received ?? 0, complete: held?.complete === 1 });
  }

  /** Adds a part at the place where the photo stopped; `wrong-place` tells where that is. */
  async add(part: PhotoPart, now: number): Promise<Answered<PhotoState>> {
    const { sha256, size, start, bytes } = part;
    const whole = Number.isSafeInteger(size) && size > 0 && size <= LARGEST_PHOTO;
    if (!whole || !Number.isSafeInteger(start) || start < 0)
      return refused(422, 'bad-size', `A photo has between 1 and ${LARGEST_PHOTO} bytes.`);
    if (bytes.length === 0 || bytes.length > LARGEST_PART || start + bytes.length > size)
      return refused(422, 'bad-size', 'The part is empty, too large, or goes beyond the photo.');
    const added = await this.#rows.transaction().execute((rows) => addTo(rows, part, now));
    if (!added.ok || added.value.complete || added.value.received < size) return added;
    return this.#finish(sha256, size);
  }

  /** Size and kind of a photo that is complete; null when it is not. */
  async look(sha256: string): Promise<KeptPhoto | null> {
    if (!isPhotoName(sha256)) return null;
    const rows = this.#rows;
    const held = await heldOf(rows, sha256);
    if (held?.complete !== 1) return null;
    const first = await partAt(rows, sha256, 0);
    if (first === null) return (await this.#place?.look(sha256)) ?? null;
    const type = pictureType(first);
    return type === null ? null : { size: held.size, type };
  }

  /** The bytes in order; a part as it came at a time. */
  async *read(sha256: string): AsyncGenerator<Uint8Array> {
    let inDatabase = false;
    for await (const part of partsOf(this.#rows, sha256)) {
      inDatabase = true;
      yield part;
    }
    if (!inDatabase && this.#place !== null) yield* this.#place.read(sha256);
  }

  /** Every byte has come: believe it or not, and put it where it belongs. */
  async #finish(sha256: string, size: number): Promise<Answered<PhotoState>> {
    const rows = this.#rows;
    const bytes = Buffer.concat(await Array.fromAsync(partsOf(rows, sha256)));
    const type = pictureType(bytes);
    const fits = createHash('sha256').update(bytes).digest('hex') === sha256;
    if (!fits || type === null) {
      await rows.transaction().execute((tx) => forget(tx, sha256));
      return fits ? NO_PHOTO : WRONG_HASH;
    }
    try {
      await this.#place?.keep(sha256, bytes, type);
    } catch (error) {
      if (!(error instanceof PlaceTrouble)) throw error;
      this.#trouble(error);
      return PLACE_AWAY;
    }
    await rows.transaction().execute(async (tx) => {
      await tx.updateTable('photos').set({ complete: 1 }).where('sha256', '=', sha256).execute();
      if (this.#place !== null)
        await tx.deleteFrom('photo_parts').where('sha256', '=', sha256).execute();
    });
    return answered({ received: size, complete: true });
  }
}

const NO_PHOTO = refused(
  422,
  'no-photo',
  'This is no JPEG, PNG or WebP picture. Nothing of it was kept.',
);
const WRONG_HASH = refused(
  422,
  'wrong-hash',
  'The bytes are not those that the name of the photo says. Nothing of it was kept; send it from its beginning.',
);

async function addTo(
  rows: Writing,
  { sha256, size, start, bytes }: PhotoPart,
  now: number,
): Promise<Answered<PhotoState>> {
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
  return answered({ received: start + bytes.length, complete: false });
}

async function forget(rows: Writing, sha256: string): Promise<void> {
  await rows.deleteFrom('photo_parts').where('sha256', '=', sha256).execute();
  await rows.deleteFrom('photos').where('sha256', '=', sha256).execute();
}

async function heldOf(rows: Rows, sha256: string) {
  return rows
    .selectFrom('photos')
    .select(['received', 'size', 'complete'])
    .where('sha256', '=', sha256)
    .executeTakeFirst();
}

async function partAt(rows: Rows, sha256: string, start: number): Promise<Uint8Array | null> {
  const part = await rows
    .selectFrom('photo_parts')
    .select('bytes')
    .where('sha256', '=', sha256)
    .where('start', '=', start)
    .executeTakeFirst();
  return part?.bytes ?? null;
}

async function* partsOf(rows: Rows, sha256: string): AsyncGenerator<Uint8Array> {
  for (let start = 0; ;) {
    const part = await partAt(rows, sha256, start);
    if (part === null) return;
    yield part;
    start += part.length;
  }
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

async function isNamed(rows: Rows, sha256: string): Promise<boolean> {
  const use = await rows
    .selectFrom('photo_uses')
    .select('job_no')
    .where('sha256', '=', sha256)
    .executeTakeFirst();
  return use !== undefined;
}

/** By the first bytes: JPEG (ISO 10918-1), PNG (ISO 15948), WebP (RFC 9649). */
function pictureType(bytes: Uint8Array): string | null {
  const text = Buffer.from(bytes.subarray(0, 12)).toString('latin1');
  if (text.startsWith('\xff\xd8\xff')) return 'image/jpeg';
  if (text.startsWith('\x89PNG\r\n\x1a\n')) return 'image/png';
  if (text.startsWith('RIFF') && text.endsWith('WEBP')) return 'image/webp';
  return null;
}
