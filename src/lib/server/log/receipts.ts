/** Proofs out of the log: receipts, inclusion, consistency. */
import {
  consistencyProof,
  inclusionProof,
  inclusionProver,
  receiptWriter,
} from '#lib/core/record/index.ts';
import type { Hash } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import type { SignedTree } from './organisation-log.ts';
import type { TileShelf } from './tile-shelf.ts';

/**
 * Receipts of leaves, each under the first checkpoint that covered it, so that asking again gives the
 * same bytes. A leaf that no checkpoint covers yet has none.
 */
export async function receiptsOf(
  rows: Rows,
  shelf: TileShelf,
  indices: readonly number[],
): Promise<ReadonlyMap<number, string>> {
  const receipts = new Map<number, string>();
  const waiting = [...new Set(indices)].sort((a, b) => a - b);
  for (let at = 0; at < waiting.length;) {
    const first = waiting[at] ?? 0;
    const tree = await firstOver(rows, first);
    if (tree === null) return receipts;
    const covered = waiting.slice(at).filter((index) => index < tree.size);
    const nodes = await shelf.nodesFor(rows, covered, tree.size);
    const proofOf = inclusionProver(tree.size, nodes, nodePrimitives);
    const textOf = receiptWriter(tree.note);
    for (const index of covered) receipts.set(index, textOf(index, proofOf(index)));
    at += covered.length;
  }
  return receipts;
}

async function firstOver(rows: Rows, index: number): Promise<SignedTree | null> {
  const found = await rows
    .selectFrom('checkpoints')
    .select(['size', 'note'])
    .where('size', '>', index)
    .orderBy('size')
    .limit(1)
    .executeTakeFirst();
  return found ?? null;
}

export async function inclusionIn(
  rows: Rows,
  shelf: TileShelf,
  index: number,
  size: number,
): Promise<Hash[]> {
  const nodes = await shelf.nodesFor(rows, [index], size);
  return inclusionProof(index, size, nodes, nodePrimitives);
}

export async function consistencyBetween(
  rows: Rows,
  shelf: TileShelf,
  older: number,
  newer: number,
): Promise<Hash[]> {
  const nodes = await shelf.nodesFor(rows, older === 0 ? [] : [older - 1, older], newer);
  return consistencyProof(older, newer, nodes, nodePrimitives);
}
