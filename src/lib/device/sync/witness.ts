/**
 * Holds the server to what it has signed before: every checkpoint it shows must be of the log this
 * device knows, and begin with the newest one verified here. A device is a witness without knowing it.
 */
import {
  checkpointText,
  consistencyStands,
  fromBase64,
  openCheckpoint,
  readNoteKey,
  utf8,
} from '#lib/core/record/index.ts';
import type { NoteKey, OpenedCheckpoint, Primitives } from '#lib/core/record/index.ts';
import type { Reply, ServerLink, ServerSettings } from './server-link.ts';

export type Witnessed =
  /** It stands; `checkpoint` is the newer of the two notes. */
  | { readonly kind: 'stands'; readonly checkpoint: string }
  /** Nobody answered, so nothing is known yet. */
  | { readonly kind: 'unknown'; readonly reply: Extract<Reply<never>, { ok: false }> }
  /** The server shows another log than before; both notes are the proof of it. */
  | { readonly kind: 'broken'; readonly says: string; readonly notes: readonly string[] };

/** The key that the server's log signs with; null when the settings hold none. */
export function logKeyOf(
  { key }: Pick<ServerSettings, 'key'>,
  primitives: Primitives,
): NoteKey | null {
  const read = readNoteKey(key, primitives);
  return read.ok ? read.value : null;
}

/** @param note a checkpoint that the server has just shown */
export async function witness(
  note: string,
  settings: ServerSettings,
  link: ServerLink,
  primitives: Primitives,
): Promise<Witnessed> {
  const key = logKeyOf(settings, primitives);
  const trusted = key === null ? [] : [key];
  const shown = await openCheckpoint(utf8(note), trusted, primitives);
  if (!shown.ok)
    return broken(`The server shows a checkpoint that does not stand. ${shown.flaw.says}`, [note]);
  if (settings.checkpoint === null) return { kind: 'stands', checkpoint: note };
  const held = await openCheckpoint(utf8(settings.checkpoint), trusted, primitives);
  // What is held here was verified before it was kept, unless the log is a new one.
  if (!held.ok) return { kind: 'stands', checkpoint: note };
  return compare(
    { note: settings.checkpoint, tree: held.value },
    { note, tree: shown.value },
    link,
    primitives,
  );
}

interface Told {
  readonly note: string;
  readonly tree: OpenedCheckpoint;
}

async function compare(
  held: Told,
  shown: Told,
  link: ServerLink,
  primitives: Primitives,
): Promise<Witnessed> {
  const [older, newer] = held.tree.size <= shown.tree.size ? [held, shown] : [shown, held];
  const notes = [held.note, shown.note];
  if (older.tree.size === newer.tree.size || older.tree.size === 0) {
    const same = older.tree.size === 0 || checkpointText(held.tree) === checkpointText(shown.tree);
    return same ? { kind: 'stands', checkpoint: newer.note } : broken(TWO_LOGS, notes);
  }
  const proof = await link.consistency(older.tree.size, newer.tree.size);
  if (!proof.ok)
    return proof.failure.kind === 'refused'
      ? broken(SHORTER, notes)
      : { kind: 'unknown', reply: proof };
  const hashes = proof.value.proof.map((text) => fromBase64(text) ?? new Uint8Array());
  const stands = consistencyStands(
    older.tree.size,
    newer.tree.size,
    older.tree.root,
    newer.tree.root,
    hashes,
    primitives,
  );
  return stands ? { kind: 'stands', checkpoint: newer.note } : broken(TWO_LOGS, notes);
}

const broken = (says: string, notes: readonly string[]): Witnessed => ({
  kind: 'broken',
  says,
  notes,
});

const TWO_LOGS =
  'The server shows another past than it has signed before: entries were changed, removed or put in. Nothing more is sent, and everything stays on this device. Tell the person who looks after the records, and keep both checkpoints.';

const SHORTER =
  'The server no longer knows a past that it has signed: entries were taken away. Nothing more is sent, and everything stays on this device. Tell the person who looks after the records, and keep both checkpoints.';
