/**
 * The right edge of a growing Merkle tree: enough to append leaves and to know every root, in
 * log2(size) hashes. Each complete subtree is handed out once, at the moment it is complete, for the
 * keeper to store.
 */
import type { Primitives } from './primitives.ts';
import { emptyRoot, isSize, nodeHash } from './tree.ts';
import type { Hash } from './tree.ts';

/** Hashes of the complete subtrees of the tree, largest first: one for each 1 bit of `size`. */
export interface Edge {
  readonly size: number;
  readonly hashes: readonly Hash[];
}

export const NO_EDGE: Edge = { size: 0, hashes: [] };

export interface CompleteNode {
  readonly level: number;
  readonly index: number;
  readonly hash: Hash;
}

/** Appends one leaf hash; gives the new edge and every subtree that it completed, leaf first. */
export function grown(
  edge: Edge,
  leaf: Hash,
  primitives: Pick<Primitives, 'sha256'>,
): { readonly edge: Edge; readonly complete: readonly CompleteNode[] } {
  const hashes = [...edge.hashes];
  const complete: CompleteNode[] = [{ level: 0, index: edge.size, hash: leaf }];
  let hash = leaf;
  let index = edge.size;
  let level = 0;
  while (index % 2 === 1) {
    const left = hashes.pop();
    if (left === undefined) throw new RangeError('The edge does not fit its size.');
    hash = nodeHash(left, hash, primitives);
    index = (index - 1) / 2;
    level += 1;
    complete.push({ level, index, hash });
  }
  hashes.push(hash);
  return { edge: { size: edge.size + 1, hashes }, complete };
}

/** The root of the tree that has this edge. */
export function rootOfEdge(edge: Edge, primitives: Pick<Primitives, 'sha256'>): Hash {
  if (!isSize(edge.size) || edge.hashes.length !== onesOf(edge.size)) {
    throw new RangeError('The edge does not fit its size.');
  }
  if (edge.size === 0) return emptyRoot(primitives);
  return edge.hashes.reduceRight((right, left) => nodeHash(left, right, primitives));
}

/** Which subtrees make the edge of a tree of `size` leaves, largest first: what a keeper reloads. */
export function edgePlaces(size: number): { readonly level: number; readonly index: number }[] {
  const places: { level: number; index: number }[] = [];
  let from = 0;
  for (let level = 52; level >= 0; level -= 1) {
    const width = 2 ** level;
    if (from + width <= size) {
      places.push({ level, index: from / width });
      from += width;
    }
  }
  return places;
}

function onesOf(size: number): number {
  let ones = 0;
  for (let left = size; left > 0; left = Math.floor(left / 2)) ones += left % 2;
  return ones;
}
