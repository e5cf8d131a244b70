/**
 * A copy of a photo with regions made unreadable. The original stays as it is, and a bag names both.
 *
 * A blur can be undone where what is under it is one of few things, such as the figures of a plate. So a
 * region is not smoothed: whatever its size, it keeps the colours of no more than four by four fields.
 */
import type { Photo } from './photo.ts';
import { preparePhoto } from './photos.ts';
import { failed } from './trouble.ts';
import type { Result } from './trouble.ts';

/** A rectangle in thousandths of the photo's width and height. */
export interface Region {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

const FIELDS = 4;

/** The copy; `photo-unreadable` when the bytes are no picture. */
export async function hiddenIn(
  bytes: Uint8Array<ArrayBuffer>,
  regions: readonly Region[],
): Promise<Result<Photo>> {
  const bitmap = await createImageBitmap(new Blob([bytes], { type: 'image/jpeg' })).catch(
    () => null,
  );
  if (bitmap === null) {
    return failed(
      'photo-unreadable',
      'A photo cannot be drawn here, so no part of it could be made unreadable. No bag was made. Leave this photo out instead.',
    );
  }
  const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
  const context = canvas.getContext('2d', { alpha: false });
  if (context === null) throw new Error('no 2d context');
  context.drawImage(bitmap, 0, 0);
  for (const region of regions) hide(context, bitmap, region);
  bitmap.close();
  return preparePhoto(canvas);
}

function hide(
  context: OffscreenCanvasRenderingContext2D,
  bitmap: ImageBitmap,
  { x, y, width, height }: Region,
): void {
  // Outwards to whole pixels: no edge of what is under it may stay.
  const left = Math.floor((x * bitmap.width) / 1000);
  const top = Math.floor((y * bitmap.height) / 1000);
  const wide = Math.max(1, Math.ceil((width * bitmap.width) / 1000) + 1);
  const high = Math.max(1, Math.ceil((height * bitmap.height) / 1000) + 1);
  const few = new OffscreenCanvas(FIELDS, FIELDS);
  const fields = few.getContext('2d', { alpha: false });
  if (fields === null) throw new Error('no 2d context');
  fields.imageSmoothingQuality = 'high';
  fields.drawImage(bitmap, left, top, wide, high, 0, 0, FIELDS, FIELDS);
  context.imageSmoothingEnabled = false;
  context.drawImage(few, left, top, wide, high);
}
