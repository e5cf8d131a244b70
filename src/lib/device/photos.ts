/**
 * From a picture of any origin to the photo that is kept: turned upright, at most 2048 pixels long,
 * a fresh JPEG that carries no position, no camera and no time.
 *
 * Drawing the pixels anew is what strips the metadata; the segments are looked at all the same.
 */
import type { Photo } from './photo.ts';
import { digest } from './photo-chunks.ts';
import { greyOf, MEASURED_SIDE, sharpnessOf } from './sharpness.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

const LONGEST_SIDE = 2048;
/** A file beyond this is refused unread, in bytes. */
export const LARGEST_FILE = 64 * 1024 * 1024;
/** A photo is pressed harder until it is no larger than this, in bytes. */
const LARGEST_PHOTO = 3 * 1024 * 1024;
const QUALITIES = [0.86, 0.7, 0.5] as const;

export type Picture = Blob | ImageBitmap | HTMLCanvasElement | OffscreenCanvas | HTMLVideoElement;

/** Makes the photo to keep: `photo-unreadable` or `photo-too-large` when it cannot. */
export async function preparePhoto(picture: Picture): Promise<Result<Photo>> {
  if (picture instanceof Blob && picture.size > LARGEST_FILE) {
    const megabytes = Math.round(picture.size / 1_000_000);
    return failed(
      'photo-too-large',
      `This picture has ${megabytes} MB; at most ${LARGEST_FILE / 1024 / 1024} are read. Nothing was recorded. Take a smaller picture, or use the camera here.`,
    );
  }
  let bitmap: ImageBitmap;
  try {
    bitmap = await createImageBitmap(picture, { imageOrientation: 'from-image' });
  } catch {
    return unreadable(picture);
  }
  try {
    return await keep(bitmap);
  } catch {
    return unreadable(picture);
  } finally {
    bitmap.close();
  }
}

function unreadable(picture: Picture): Result<Photo> {
  const kind = picture instanceof Blob && picture.type !== '' ? ` (${picture.type})` : '';
  return failed(
    'photo-unreadable',
    `This picture${kind} cannot be read here: it is damaged, or of a kind that the browser does not know. Nothing was recorded. Use the camera here, or choose a JPEG or PNG.`,
  );
}

async function keep(bitmap: ImageBitmap): Promise<Result<Photo>> {
  const { width, height } = fitted(bitmap.width, bitmap.height, LONGEST_SIDE);
  const canvas = drawn(bitmap, width, height);
  let bytes = new Uint8Array();
  for (const quality of QUALITIES) {
    const blob = await canvas.convertToBlob({ type: 'image/jpeg', quality });
    bytes = new Uint8Array(await blob.arrayBuffer());
    if (bytes.length <= LARGEST_PHOTO) break;
  }
  const carried = metadataIn(bytes);
  // A broken assumption, not a person's mistake: no photo with a position may ever be named by a record.
  if (carried !== null) throw new Error(`The encoder wrote ${carried}.`);
  return done({ sha256: digest(bytes), bytes, width, height, sharpness: measured(bitmap) });
}

/** The size that fits into a square of `side`, never enlarged, at least 1 by 1. */
export function fitted(
  width: number,
  height: number,
  side: number,
): { readonly width: number; readonly height: number } {
  const scale = Math.min(1, side / Math.max(width, height));
  return {
    width: Math.max(1, Math.round(width * scale)),
    height: Math.max(1, Math.round(height * scale)),
  };
}

function drawn(bitmap: ImageBitmap, width: number, height: number): OffscreenCanvas {
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext('2d', { alpha: false, willReadFrequently: true });
  if (context === null) throw new Error('no 2d context');
  context.imageSmoothingQuality = 'high';
  // Transparent pictures get paper under them, not black.
  context.fillStyle = '#ffffff';
  context.fillRect(0, 0, width, height);
  context.drawImage(bitmap, 0, 0, width, height);
  return canvas;
}

function measured(bitmap: ImageBitmap): number {
  const { width, height } = fitted(bitmap.width, bitmap.height, MEASURED_SIDE);
  const context = drawn(bitmap, width, height).getContext('2d');
  const pixels = context?.getImageData(0, 0, width, height).data;
  return pixels === undefined ? 0 : sharpnessOf(greyOf(pixels), width, height);
}

const JPEG_START = 0xffd8;
/** APP1 to APP13 and comments: where Exif, XMP, IPTC and makers' notes live (ITU-T T.81 annex B, Exif 2.32). */
const CARRIES = (marker: number) => (marker >= 0xe1 && marker <= 0xed) || marker === 0xfe;

/** The first segment of a JPEG that could tell where, when or with what it was taken; null for none. */
export function metadataIn(jpeg: Uint8Array): string | null {
  const view = new DataView(jpeg.buffer, jpeg.byteOffset, jpeg.byteLength);
  if (jpeg.length < 4 || view.getUint16(0) !== JPEG_START) return 'something that is no JPEG';
  let at = 2;
  while (at + 4 <= jpeg.length && jpeg[at] === 0xff) {
    const marker = jpeg[at + 1] ?? 0;
    if (marker === 0xda) return null;
    // An ICC profile (APP2) names a colour space and nothing else.
    const isProfile = marker === 0xe2 && ascii(jpeg, at + 4, 11) === 'ICC_PROFILE';
    if (CARRIES(marker) && !isProfile) return `a metadata segment (0x${marker.toString(16)})`;
    at += 2 + view.getUint16(at + 2);
  }
  return 'a JPEG without a picture';
}

function ascii(bytes: Uint8Array, from: number, length: number): string {
  return String.fromCharCode(...bytes.subarray(from, from + length));
}
