/**
 * Bytes kept for the day the disk is full. Given up, they leave room for thousands of entries: a record
 * outlives the photos that filled the disk.
 */
import type { Connection } from './connection.ts';
import { CHUNK_BYTES } from './schema.ts';
import { done } from './trouble.ts';
import type { Result } from './trouble.ts';

/** 8 MiB in all. */
export const BALLAST_CHUNKS = 8;

/** Takes the ballast in, as far as it is missing; `full` when there is no room for it. */
export async function takeBallast(connection: Connection): Promise<Result<void>> {
  const held = await connection.read(['ballast'], async (tx) =>
    done(await tx.objectStore('ballast').getAllKeys()),
  );
  if (!held.ok) return held;
  for (let at = 0; at < BALLAST_CHUNKS; at += 1) {
    if (held.value.includes(at)) continue;
    const stored = await connection.write(['ballast'], async (tx) => {
      await tx.objectStore('ballast').put(noise(CHUNK_BYTES), at);
      return done(undefined);
    });
    if (!stored.ok) return stored;
  }
  return done(undefined);
}

/** Gives all of it up; answers how many bytes that freed. */
export function giveUpBallast(connection: Connection): Promise<Result<number>> {
  return connection.write(['ballast'], async (tx) => {
    const ballast = tx.objectStore('ballast');
    const count = await ballast.count();
    await ballast.clear();
    return done(count * CHUNK_BYTES);
  });
}

/** Stores compress: zeros would weigh nothing. */
function noise(bytes: number): ArrayBuffer {
  const buffer = new ArrayBuffer(bytes);
  const most = 65_536;
  for (let at = 0; at < bytes; at += most) {
    crypto.getRandomValues(new Uint8Array(buffer, at, Math.min(most, bytes - at)));
  }
  return buffer;
}
