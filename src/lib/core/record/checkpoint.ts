/** C2SP checkpoints (c2sp.org/tlog-checkpoint): the signed head of a server's tree. */
import { base64, fromBase64, textOf } from './bytes.ts';
import { openNote, signNote } from './notes.ts';
import type { NoteKey, OpenedNote } from './notes.ts';
import { flawed, good } from './outcome.ts';
import type { Outcome } from './outcome.ts';
import type { Primitives } from './primitives.ts';
import { isSize } from './tree.ts';
import type { Hash } from './tree.ts';

export interface Checkpoint {
  readonly origin: string;
  readonly size: number;
  readonly root: Hash;
}

const DECIMAL = /^(0|[1-9]\d{0,15})$/;

/** A size or an index as these formats write it: decimal, no leading zero, up to 2^53-1. */
export function decimalOf(text: string): number | null {
  const value = DECIMAL.test(text) ? Number(text) : Number.NaN;
  return isSize(value) ? value : null;
}

export function checkpointText({ origin, size, root }: Checkpoint): string {
  return `${origin}\n${size}\n${base64(root)}\n`;
}

/** Reads the text of a checkpoint. Extension lines are refused: nobody can audit them. */
export function readCheckpoint(text: string): Outcome<Checkpoint> {
  const lines = text.split('\n');
  const [origin, size, root, end] = lines;
  if (lines.length !== 4 || end !== '' || origin === undefined || origin === '') {
    return flawed('bad-note', 'A checkpoint is three lines: origin, size and root.');
  }
  const count = decimalOf(size ?? '');
  const hash = fromBase64(root ?? '');
  if (count === null || hash === null || hash.length !== 32) {
    return flawed('bad-note', 'The size or the root of the checkpoint is not in its one spelling.');
  }
  return good({ origin, size: count, root: hash });
}

/** Signs a checkpoint under the name of its own origin. */
export function signCheckpoint(
  checkpoint: Checkpoint,
  publicKey: Uint8Array,
  sign: (message: Uint8Array) => Uint8Array | Promise<Uint8Array>,
  primitives: Pick<Primitives, 'sha256'>,
): Promise<Outcome<string>> {
  const key = { name: checkpoint.origin, publicKey };
  return signNote(checkpointText(checkpoint), key, sign, primitives);
}

export interface OpenedCheckpoint extends Checkpoint {
  readonly signedBy: OpenedNote['signedBy'];
}

/** Opens a signed checkpoint; the log itself must have signed it, witnesses may have. */
export async function openCheckpoint(
  note: Uint8Array,
  trusted: readonly NoteKey[],
  primitives: Pick<Primitives, 'sha256' | 'verify'>,
): Promise<Outcome<OpenedCheckpoint>> {
  const opened = await openNote(note, trusted, primitives);
  if (!opened.ok) return opened;
  const read = readCheckpoint(opened.value.text);
  if (!read.ok) return read;
  const { signedBy } = opened.value;
  if (!signedBy.some(({ name }) => name === read.value.origin)) {
    return flawed(
      'unknown-signer',
      `The log “${read.value.origin}” has not signed its checkpoint.`,
    );
  }
  return good({ ...read.value, signedBy });
}

/** The origin that a note claims, for choosing which keys to open it with; believed for nothing else. */
export function claimedOrigin(note: Uint8Array): string | null {
  return textOf(note)?.split('\n', 1)[0] ?? null;
}
