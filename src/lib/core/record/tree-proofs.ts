/**
 * Checking Merkle proofs as RFC 9162 sections 2.1.3.2 and 2.1.4.2 lay down.
 *
 * Untrusted: every argument. Sizes beyond 2^53-1 are refused; an empty tree proves nothing here, so a
 * proof from or into it is refused rather than waved through.
 */
import { sameBytes } from './bytes.ts';
import type { Primitives } from './primitives.ts';
import { isPlace, isSize, nodeHash } from './tree.ts';
import type { Hash } from './tree.ts';

type Sha256 = Pick<Primitives, 'sha256'>;

/** Longest proof there can be for sizes up to 2^53-1, one more than the number of levels. */
export const LONGEST_PROOF = 54;

const isHash = (hash: Hash): boolean => hash.length === 32;

/** Does `proof` lead from `leaf` at `index` to `root` of a tree of `size` leaves? */
export function inclusionStands(
  index: number,
  size: number,
  leaf: Hash,
  proof: readonly Hash[],
  root: Hash,
  primitives: Sha256,
): boolean {
  if (!isPlace(index, size) || proof.length > LONGEST_PROOF) return false;
  if (![leaf, root, ...proof].every(isHash)) return false;
  let [at, last, hash] = [index, size - 1, leaf];
  for (const sibling of proof) {
    if (last === 0) return false;
    if (at % 2 === 1 || at === last) {
      hash = nodeHash(sibling, hash, primitives);
      while (at % 2 === 0 && at !== 0) [at, last] = [at / 2, Math.floor(last / 2)];
    } else {
      hash = nodeHash(hash, sibling, primitives);
    }
    [at, last] = [Math.floor(at / 2), Math.floor(last / 2)];
  }
  return last === 0 && sameBytes(hash, root);
}

/** Is the tree of `older` leaves with `olderRoot` the beginning of that of `newer` leaves? */
export function consistencyStands(
  older: number,
  newer: number,
  olderRoot: Hash,
  newerRoot: Hash,
  proof: readonly Hash[],
  primitives: Sha256,
): boolean {
  if (!isSize(older) || !isSize(newer) || older === 0 || older > newer) return false;
  if (proof.length > LONGEST_PROOF || ![olderRoot, newerRoot, ...proof].every(isHash)) return false;
  if (older === newer) return proof.length === 0 && sameBytes(olderRoot, newerRoot);
  // A complete older tree is its own first subtree, so the proof leaves it out.
  const path = Number.isInteger(Math.log2(older)) ? [olderRoot, ...proof] : [...proof];
  let [at, last] = [older - 1, newer - 1];
  while (at % 2 === 1) [at, last] = [Math.floor(at / 2), Math.floor(last / 2)];
  const first = path.shift();
  if (first === undefined) return false;
  let [olderHash, newerHash] = [first, first];
  for (const sibling of path) {
    if (last === 0) return false;
    if (at % 2 === 1 || at === last) {
      olderHash = nodeHash(sibling, olderHash, primitives);
      newerHash = nodeHash(sibling, newerHash, primitives);
      while (at % 2 === 0 && at !== 0) [at, last] = [at / 2, Math.floor(last / 2)];
    } else {
      newerHash = nodeHash(newerHash, sibling, primitives);
    }
    [at, last] = [Math.floor(at / 2), Math.floor(last / 2)];
  }
  return last === 0 && sameBytes(olderHash, olderRoot) && sameBytes(newerHash, newerRoot);
}
