/**
 * The newest checkpoint of the server that was verified on this device. Entries name it: a lower bound
 * in time that setting the clock back cannot beat.
 */
import { base64, readCheckpoint } from '#lib/core/record/index.ts';
import type { Seen } from '#lib/core/record/index.ts';
import type { Connection } from '../connection.ts';
import { done } from '../trouble.ts';

/** The setting that holds the server's address and what it was last seen to sign. */
export const SERVER = 'server';

/** Read once for each connection, so that a tap costs no transaction more. */
const known = new WeakMap<Connection, Seen | null>();

/** Null before the first answer of a server; a store that does not answer now is asked again. */
export async function seenOf(connection: Connection): Promise<Seen | null> {
  const held = known.get(connection);
  if (held !== undefined) return held;
  const read = await connection.read(['settings'], async (tx) =>
    done(await tx.objectStore('settings').get(SERVER)),
  );
  if (!read.ok) return null;
  const { checkpoint } = (read.value ?? {}) as { checkpoint?: string | null };
  return noteSeen(connection, checkpoint ?? null);
}

/** @param note a checkpoint that was verified and stored */
export function noteSeen(connection: Connection, note: string | null): Seen | null {
  const seen = note === null ? null : seenIn(note);
  known.set(connection, seen);
  return seen;
}

/** What a signed note tells: its text ends with the empty line before the signatures. */
function seenIn(note: string): Seen | null {
  const read = readCheckpoint(note.slice(0, note.indexOf('\n\n') + 1));
  if (!read.ok) return null;
  const { origin, root, size } = read.value;
  return { origin, root: base64(root), size };
}
