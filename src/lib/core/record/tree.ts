/**
 * The Merkle tree of RFC 6962 section 2.1 (the same in RFC 9162), over SHA-256.
 *
 * Built only from hashes of complete subtrees: node (level, index) covers the leaves from
 * index × 2^level up to (index + 1) × 2^level. Whoever can look such nodes up, in memory, in a
 * database or in tiles, can make every root and proof here without reading the leaves.
 */
import type { Primitives } from './primitives.ts';

export type Hash = Uint8Array;

/** Looks up the hash of a complete subtree; level 0 are the leaf hashes. */
export type NodeAt = (level: number, index: number) => Hash;

type Sha256 = Pick<Primitives, 'sha256'>;

/** SHA-256(0x00 ‖ data). */
export function leafHash(data: Uint8Array, { sha256 }: Sha256): Hash {
  const leaf = new Uint8Array(1 + data.length);
  leaf.set(data, 1);
  return sha256(leaf);
}

/** SHA-256(0x01 ‖ left ‖ right). */
export function nodeHash(left: Hash, right: Hash, { sha256 }: Sha256): Hash {
  const node = new Uint8Array(1 + left.length + right.length);
  node[0] = 1;
  node.set(left, 1);
  node.set(right, 1 + left.length);
  return sha256(node);
}

/** The root of no leaves: the hash of nothing. */
export function emptyRoot({ sha256 }: Sha256): Hash {
  return sha256(new Uint8Array());
}

interface Span {
  readonly level: number;
  readonly index: number;
}

/** The complete subtrees that leaves [from, to) fall into when `from` is a start of one, left to right. */
function spansOf(from: number, to: number): Span[] {
  const spans: Span[] = [];
  let at = from;
  while (at < to) {
    let level = 0;
    while (at % 2 ** (level + 1) === 0 && at + 2 ** (level + 1) <= to) level += 1;
    spans.push({ level, index: at / 2 ** level });
    at += 2 ** level;
  }
  return spans;
}

/** The hash of leaves [from, to), which must be a subtree that RFC 6962 meets when it splits a tree. */
function rangeHash(from: number, to: number, nodeAt: NodeAt, primitives: Sha256): Hash {
  const hashes = spansOf(from, to).map(({ level, index }) => nodeAt(level, index));
  return folded(hashes, primitives);
}

/** Joins the hashes of ever smaller subtrees from the right. */
function folded(hashes: readonly Hash[], primitives: Sha256): Hash {
  return hashes.reduceRight((right, left) => nodeHash(left, right, primitives));
}

/** The root of the first `size` leaves. */
export function rootAt(size: number, nodeAt: NodeAt, primitives: Sha256): Hash {
  return size === 0 ? emptyRoot(primitives) : rangeHash(0, size, nodeAt, primitives);
}

/** The largest power of two below n (n > 1): where RFC 6962 splits n leaves. */
function splitOf(n: number): number {
  let k = 1;
  while (k * 2 < n) k *= 2;
  return k;
}

/** Of a power of two: which. */
function levelOf(width: number): number {
  let level = 0;
  while (2 ** level < width) level += 1;
  return level;
}

/** Audit path of a leaf in the tree of `size` leaves (RFC 6962 section 2.1.1), the sibling first. */
export function inclusionProof(
  index: number,
  size: number,
  nodeAt: NodeAt,
  primitives: Sha256,
): Hash[] {
  return inclusionProver(size, nodeAt, primitives)(index);
}

/** Audit paths of many leaves of one tree: what they share at its right edge is joined once. */
export function inclusionProver(
  size: number,
  nodeAt: NodeAt,
  primitives: Sha256,
): (index: number) => Hash[] {
  const joinedOnce = new Map<number, Hash>();
  // A range on the way always ends where the tree ends, or is a complete subtree of its own.
  const hashOf = (from: number, to: number): Hash => {
    if (to !== size) return nodeAt(levelOf(to - from), from / (to - from));
    const known = joinedOnce.get(from) ?? rangeHash(from, to, nodeAt, primitives);
    joinedOnce.set(from, known);
    return known;
  };
  return (index) => {
    if (!isPlace(index, size)) throw new RangeError(`No leaf ${index} in a tree of ${size}.`);
    const proof: Hash[] = [];
    let [from, to] = [0, size];
    while (to - from > 1) {
      const middle = from + splitOf(to - from);
      if (index < middle) {
        proof.push(hashOf(middle, to));
        to = middle;
      } else {
        proof.push(hashOf(from, middle));
        from = middle;
      }
    }
    return proof.reverse();
  };
}

/** Proof that the tree of `older` leaves is the beginning of that of `newer` (section 2.1.2). */
export function consistencyProof(
  older: number,
  newer: number,
  nodeAt: NodeAt,
  primitives: Sha256,
): Hash[] {
  if (!isSize(older) || !isSize(newer) || older > newer) {
    throw new RangeError(`A tree of ${older} leaves does not come before one of ${newer}.`);
  }
  if (older === 0 || older === newer) return [];
  const proof: Hash[] = [];
  let [from, to] = [0, newer];
  while (to !== older) {
    const middle = from + splitOf(to - from);
    if (older <= middle) {
      proof.push(rangeHash(middle, to, nodeAt, primitives));
      to = middle;
    } else {
      proof.push(rangeHash(from, middle, nodeAt, primitives));
      from = middle;
    }
  }
  if (from !== 0) proof.push(rangeHash(from, to, nodeAt, primitives));
  return proof.reverse();
}

export function isSize(size: number): boolean {
  return Number.isSafeInteger(size) && size >= 0;
}

export function isPlace(index: number, size: number): boolean {
  return isSize(index) && isSize(size) && index < size;
}

/**
 * A tree kept in memory, all complete subtrees of it: about twice the leaves.
 * For what does not fit, see `growth.ts`.
 */
export function treeOf(
  leaves: readonly Hash[],
  primitives: Sha256,
): { readonly size: number; readonly nodeAt: NodeAt } {
  const levels: Hash[][] = [[...leaves]];
  for (let below = levels[0]; below !== undefined && below.length > 1; below = levels.at(-1)) {
    const above: Hash[] = [];
    for (let at = 0; at + 1 < below.length; at += 2) {
      const [left, right] = [below[at], below[at + 1]];
      if (left !== undefined && right !== undefined) above.push(nodeHash(left, right, primitives));
    }
    levels.push(above);
  }
  const nodeAt: NodeAt = (level, index) => {
    const found = levels[level]?.[index];
    if (found === undefined) throw new RangeError(`No complete subtree (${level}, ${index}).`);
    return found;
  };
  return { size: leaves.length, nodeAt };
}
