/** Photos in the database: one row each, and the bytes in pieces named by digest and place. */
import { sha256 } from '@noble/hashes/sha2.js';
import { hex } from '#lib/core/record/bytes.ts';
import type { Connection, Writing } from './connection.ts';
import type { Photo } from './photo.ts';
import { CHUNK_BYTES } from './schema.ts';
import type { PhotoRow } from './schema.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

/** Puts a photo in as part of a running transaction; one that is there already stays as it is. */
export async function putPhoto(tx: Writing, photo: Photo, job: string): Promise<void> {
  const rows = tx.objectStore('photos');
  if ((await rows.getKey(photo.sha256)) !== undefined) return;
  const pieces = chunksOf(photo.bytes);
  await Promise.all([
    rows.add(rowOf(photo, job, pieces.length)),
    ...pieces.map((piece, at) => tx.objectStore('chunks').put(piece, [photo.sha256, at])),
  ]);
}

/** Takes a photo out as part of a running transaction, if it is there. */
export function dropPhoto(tx: Writing, sha256: string): Promise<void>[] {
  return [
    tx.objectStore('photos').delete(sha256),
    tx.objectStore('chunks').delete(piecesOf(sha256)),
  ];
}

const piecesOf = (sha256: string): IDBKeyRange =>
  IDBKeyRange.bound([sha256, 0], [sha256, Number.MAX_SAFE_INTEGER]);

/** The stored bytes of a photo, hashed again: `photo-missing` when they are gone or not the same. */
export async function readPhoto(
  connection: Connection,
  sha256: string,
): Promise<Result<{ readonly row: PhotoRow; readonly bytes: Uint8Array<ArrayBuffer> }>> {
  const found = await connection.read(['photos', 'chunks'], async (tx) =>
    done({
      row: await tx.objectStore('photos').get(sha256),
      pieces: await tx.objectStore('chunks').getAll(piecesOf(sha256)),
    }),
  );
  if (!found.ok) return found;
  const { row, pieces } = found.value;
  if (row === undefined) {
    return failed(
      'photo-missing',
      `The photo ${short(sha256)} is not on this device. The record still names it; look for it on the device that took it.`,
    );
  }
  const bytes = joinedPieces(pieces);
  if (digest(bytes) !== sha256) {
    return failed(
      'photo-missing',
      `The stored photo ${short(sha256)} no longer reads back as it was taken. The record and every other photo are untouched; take a new photo of the same thing now if you can, and say so in a note.`,
    );
  }
  return done({ row, bytes });
}

export function digest(bytes: Uint8Array): string {
  return hex(sha256(bytes));
}

function rowOf(photo: Photo, job: string, chunks: number): PhotoRow {
  const { sha256, width, height, sharpness } = photo;
  return { sha256, bytes: photo.bytes.length, chunks, width, height, sharpness, job };
}

function chunksOf(bytes: Uint8Array): ArrayBuffer[] {
  const pieces: ArrayBuffer[] = [];
  for (let at = 0; at < bytes.length; at += CHUNK_BYTES) {
    pieces.push(bytes.slice(at, at + CHUNK_BYTES).buffer as ArrayBuffer);
  }
  return pieces;
}

function joinedPieces(pieces: readonly ArrayBuffer[]): Uint8Array<ArrayBuffer> {
  const whole = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.byteLength, 0));
  let at = 0;
  for (const piece of pieces) {
    whole.set(new Uint8Array(piece), at);
    at += piece.byteLength;
  }
  return whole;
}

function short(sha256: string): string {
  return `${sha256.slice(0, 8)}…`;
}
