import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { hex, joined } from '#lib/core/record/bytes.ts';
import { grown, NO_EDGE, rootOfEdge } from '#lib/core/record/growth.ts';
import type { Edge } from '#lib/core/record/growth.ts';
import { consistencyStands, inclusionStands } from '#lib/core/record/tree-proofs.ts';
import {
  consistencyProof,
  inclusionProof,
  leafHash,
  rootAt,
  treeOf,
} from '#lib/core/record/tree.ts';
import type { Hash } from '#lib/core/record/tree.ts';

const sha = nodePrimitives;

/** RFC 6962 section 2.1 word for word, as the measure of everything else. */
function rfcRoot(leaves: readonly Hash[]): Hash {
  if (leaves.length === 0) return sha.sha256(new Uint8Array());
  if (leaves.length === 1) return leaves[0] ?? new Uint8Array();
  let k = 1;
  while (k * 2 < leaves.length) k *= 2;
  const node = joined(new Uint8Array([1]), rfcRoot(leaves.slice(0, k)), rfcRoot(leaves.slice(k)));
  return sha.sha256(node);
}

const all = Array.from({ length: 70 }, (_, at) => leafHash(new Uint8Array([at]), sha));
const rfcRoots = Array.from({ length: 71 }, (_, size) => rfcRoot(all.slice(0, size)));
const tree = treeOf(all, sha);

describe('Merkle trees of every size up to 70', () => {
  it('have the root of the definition, from nodes and from the edge', () => {
    let edge: Edge = NO_EDGE;
    for (const [size, root] of rfcRoots.entries()) {
      expect(hex(rootAt(size, tree.nodeAt, sha))).toBe(hex(root));
      expect(hex(rootOfEdge(edge, sha))).toBe(hex(root));
      edge = grown(edge, all[size] ?? new Uint8Array(32), sha).edge;
    }
  });

  it('prove every leaf, and nothing but it, at nothing but its place', () => {
    const place = fc
      .integer({ min: 1, max: 70 })
      .chain((size) =>
        fc.record({ size: fc.constant(size), index: fc.nat(size - 1), other: fc.nat(69) }),
      );
    fc.assert(
      fc.property(place, ({ size, index, other }) => {
        const proof = inclusionProof(index, size, tree.nodeAt, sha);
        const stands = (at: number, leaf: number): boolean =>
          inclusionStands(
            at,
            size,
            all[leaf] ?? new Uint8Array(),
            proof,
            rfcRoots[size] ?? new Uint8Array(),
            sha,
          );
        expect(proof.length).toBeLessThanOrEqual(Math.ceil(Math.log2(size)));
        expect(stands(index, index)).toBe(true);
        expect(stands(index, other)).toBe(other === index);
        expect(stands(other, index)).toBe(other === index);
      }),
      { numRuns: 500 },
    );
  });

  it('prove that each is the beginning of each later one, and no other is', () => {
    for (let newer = 1; newer <= 70; newer += 1) {
      for (let older = 1; older <= newer; older += 1) {
        const proof = consistencyProof(older, newer, tree.nodeAt, sha);
        const stands = (oldRoot: Hash | undefined): boolean =>
          consistencyStands(
            older,
            newer,
            oldRoot ?? new Uint8Array(),
            rfcRoots[newer] ?? new Uint8Array(),
            proof,
            sha,
          );
        expect(proof.length).toBeLessThanOrEqual(Math.ceil(Math.log2(newer)) + 1);
        expect(stands(rfcRoots[older])).toBe(true);
        expect(stands(rfcRoots[older - 1])).toBe(false);
      }
    }
  });

  it('reject a proof with any one bit flipped, one hash more or one less', () => {
    const spoilt = fc.record({
      older: fc.integer({ min: 1, max: 40 }),
      more: fc.integer({ min: 1, max: 30 }),
      bit: fc.nat(255),
      where: fc.nat(),
    });
    fc.assert(
      fc.property(spoilt, ({ older, more, bit, where }) => {
        const newer = older + more;
        const [one, two] = [rfcRoots[older], rfcRoots[newer]];
        if (one === undefined || two === undefined) throw new Error('no such size');
        const proof = consistencyProof(older, newer, tree.nodeAt, sha);
        const stands = (hashes: readonly Hash[]): boolean =>
          consistencyStands(older, newer, one, two, hashes, sha);
        const at = where % proof.length;
        const flipped = proof.map((hash, index) => {
          const copy = hash.slice();
          if (index === at) copy[bit >> 3] = (copy[bit >> 3] ?? 0) ^ (1 << (bit & 7));
          return copy;
        });
        expect(stands(proof)).toBe(true);
        expect(stands(flipped)).toBe(false);
        expect(stands(proof.slice(1))).toBe(false);
        expect(stands([...proof, one])).toBe(false);
      }),
      { numRuns: 300 },
    );
  });
});
