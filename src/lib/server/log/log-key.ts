/** The signing key of the log: 32 secret bytes in a file, never in the database. */
import { randomBytes } from 'node:crypto';
import { linkSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { base64url, fromBase64url } from '#lib/core/record/index.ts';
import { keyOfSeed } from '#lib/crypto/node.ts';
import type { NodeKey } from '#lib/crypto/node.ts';

const SEED_BYTES = 32;

/**
 * Reads the key, or makes it when there is no such file yet.
 * @throws Error with one sentence when the file is there and is no key
 */
export function logKey(path: string): NodeKey {
  const held = readOrNull(path);
  if (held !== null) return keyOf(held, path);
  // Written beside and linked, so that another process never reads half a key or makes a second one.
  const half = `${path}.${process.pid}`;
  writeFileSync(half, `${base64url(randomBytes(SEED_BYTES))}\n`, { mode: 0o600, flush: true });
  try {
    linkSync(half, path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
  } finally {
    rmSync(half, { force: true });
  }
  return keyOf(readFileSync(path, 'utf8'), path);
}

function keyOf(text: string, path: string): NodeKey {
  const seed = fromBase64url(text.trim());
  if (seed?.length !== SEED_BYTES)
    throw new Error(
      `${path} is not the signing key of a log (32 bytes, Base 64). Nothing was changed. Put the right file back from where it is kept safely.`,
    );
  return keyOfSeed(seed);
}

function readOrNull(path: string): string | null {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw error;
  }
}
