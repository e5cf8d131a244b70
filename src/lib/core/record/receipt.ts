/**
 * Receipts: `c2sp.org/tlog-proof@v1` texts that an entry stands in a server's tree at an index.
 *
 * Untrusted: the bytes of a receipt. One spelling is read, so that a receipt cannot be changed in any
 * byte and still stand (witness lines of unknown keys apart).
 */
import { base64, fromBase64, textOf, utf8 } from './bytes.ts';
import { decimalOf, openCheckpoint } from './checkpoint.ts';
import type { OpenedCheckpoint } from './checkpoint.ts';
import type { NoteKey } from './notes.ts';
import { flawed, good } from './outcome.ts';
import type { Outcome } from './outcome.ts';
import type { Primitives } from './primitives.ts';
import { inclusionStands, LONGEST_PROOF } from './tree-proofs.ts';
import type { Hash } from './tree.ts';

export interface Receipt {
  readonly index: number;
  /** Audit path, the sibling of the leaf first. */
  readonly proof: readonly Hash[];
  /** The signed checkpoint, byte for byte. */
  readonly checkpoint: Uint8Array;
}

const FIRST_LINE = 'c2sp.org/tlog-proof@v1';

/** @param checkpoint the signed note of the checkpoint whose tree the proof leads to. */
export function receiptText(index: number, proof: readonly Hash[], checkpoint: string): string {
  return receiptWriter(checkpoint)(index, proof);
}

/** Receipts under one checkpoint: they share most of their hashes, and each is spelt once. */
export function receiptWriter(
  checkpoint: string,
): (index: number, proof: readonly Hash[]) => string {
  const spelt = new Map<Hash, string>();
  const lineOf = (hash: Hash): string => {
    const line = spelt.get(hash) ?? `${base64(hash)}\n`;
    spelt.set(hash, line);
    return line;
  };
  return (index, proof) => {
    let hashes = '';
    for (const hash of proof) hashes += lineOf(hash);
    return `${FIRST_LINE}\nindex ${index}\n${hashes}\n${checkpoint}`;
  };
}

/** Reads a receipt for its form. The `extra` line of the format is not authenticated: refused. */
export function readReceipt(bytes: Uint8Array): Outcome<Receipt> {
  const text = bytes.length > 64 * 1024 ? null : textOf(bytes);
  const cut = text?.indexOf('\n\n') ?? -1;
  if (text === null || cut === -1) {
    return flawed('bad-proof', 'The receipt is not text with a checkpoint after an empty line.');
  }
  const [first, place, ...hashes] = text.slice(0, cut).split('\n');
  const index = place?.startsWith('index ') ? decimalOf(place.slice('index '.length)) : null;
  if (first !== FIRST_LINE || index === null) {
    return flawed('bad-proof', `The receipt does not begin with “${FIRST_LINE}” and an index.`);
  }
  const proof: Hash[] = [];
  for (const line of hashes) {
    const hash = fromBase64(line);
    if (hash === null || hash.length !== 32 || proof.length === LONGEST_PROOF) {
      return flawed('bad-proof', 'The path of the receipt is not a list of SHA-256 hashes.');
    }
    proof.push(hash);
  }
  return good({ index, proof, checkpoint: utf8(text.slice(cut + 2)) });
}

export interface OpenedReceipt {
  readonly index: number;
  readonly checkpoint: OpenedCheckpoint;
}

/** Does this receipt prove that the leaf stands in a tree signed by one of the trusted logs? */
export async function openReceipt(
  bytes: Uint8Array,
  leaf: Hash,
  trusted: readonly NoteKey[],
  primitives: Pick<Primitives, 'sha256' | 'verify'>,
): Promise<Outcome<OpenedReceipt>> {
  const read = readReceipt(bytes);
  if (!read.ok) return read;
  const { index, proof, checkpoint } = read.value;
  const opened = await openCheckpoint(checkpoint, trusted, primitives);
  if (!opened.ok) return opened;
  const { size, root } = opened.value;
  if (!inclusionStands(index, size, leaf, proof, root, primitives)) {
    return flawed('bad-proof', 'The receipt does not lead from this entry to the signed tree.');
  }
  return good({ index, checkpoint: opened.value });
}
