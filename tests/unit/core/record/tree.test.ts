import { describe, expect, it } from 'vitest';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { fromBase64, fromHex, hex, utf8 } from '#lib/core/record/bytes.ts';
import { edgePlaces, grown, NO_EDGE, rootOfEdge } from '#lib/core/record/growth.ts';
import { consistencyStands, inclusionStands } from '#lib/core/record/tree-proofs.ts';
import {
  consistencyProof,
  inclusionProof,
  leafHash,
  nodeHash,
  rootAt,
  treeOf,
} from '#lib/core/record/tree.ts';
import { describeWithVectors, vectorNames, vectorText } from '../../../support/vectors.ts';

const sha = nodePrimitives;
const bytes = (text: string): Uint8Array => fromHex(text) ?? new Uint8Array([255]);

// Reference leaves and roots: transparency-dev/merkle testonly/constants.go.
const leaves = [
  '',
  '00',
  '10',
  '2021',
  '3031',
  '40414243',
  '5051525354555657',
  '606162636465666768696a6b6c6d6e6f',
]
  .map(bytes)
  .map((data) => leafHash(data, sha));
const roots = [
  'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855',
  '6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d',
  'fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125',
  'aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77',
  'd37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7',
  '4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4',
  '76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef',
  'ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c',
  '5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328',
];
const { nodeAt } = treeOf(leaves, sha);

describe('the Merkle tree of RFC 6962', () => {
  it.each(roots.map((root, size) => [size, root]))(
    'of %i leaves has the published root',
    (size, root) => {
      expect(hex(rootAt(Number(size), nodeAt, sha))).toBe(root);
    },
  );

  it('hashes leaves and nodes apart', () => {
    // transparency-dev/merkle rfc6962 hasher test.
    expect(hex(leafHash(utf8('L123456'), sha))).toBe(
      '395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56',
    );
    expect(hex(nodeHash(utf8('N123'), utf8('N456'), sha))).toBe(
      'aa217fe888e47007fa15edab33c2b492a722cb106c64667fc2b044444de66bbb',
    );
  });

  it('proves inclusion as published for index 5 of 8', () => {
    expect(inclusionProof(5, 8, nodeAt, sha).map(hex)).toEqual([
      'bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b',
      'ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0',
      'd37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7',
    ]);
  });

  it('proves consistency as published from 6 to 8', () => {
    expect(consistencyProof(6, 8, nodeAt, sha).map(hex)).toEqual([
      '0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a',
      'ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0',
      'd37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7',
    ]);
  });

  it('has the audit paths of RFC 6962 section 2.1.3 for seven leaves', () => {
    const [, b, c] = leaves.map((leaf) => hex(leaf));
    const [g, h, i, j] = [nodeAt(1, 0), nodeAt(1, 1), nodeAt(1, 2), leaves[6]].map((hash) =>
      hex(hash ?? new Uint8Array()),
    );
    const [k, l] = [nodeAt(2, 0), nodeHash(nodeAt(1, 2), leaves[6] ?? new Uint8Array(), sha)].map(
      hex,
    );
    const path = (index: number): string[] => inclusionProof(index, 7, nodeAt, sha).map(hex);
    expect(path(0)).toEqual([b, h, l]);
    expect(path(3)).toEqual([c, g, l]);
    expect(path(4)).toEqual([hex(leaves[5] ?? new Uint8Array()), j, k]);
    expect(path(6)).toEqual([i, k]);
  });

  it.each([
    ['inclusion beyond the end', () => inclusionProof(8, 8, nodeAt, sha)],
    ['inclusion of a fraction', () => inclusionProof(0.5, 8, nodeAt, sha)],
    ['consistency backwards', () => consistencyProof(5, 4, nodeAt, sha)],
    ['a node that is not complete', () => nodeAt(3, 1)],
  ])('throws for %s', (_, ask) => {
    expect(ask).toThrow(RangeError);
  });
});

describe('the growing edge', () => {
  it('knows every root and hands every complete subtree out once', () => {
    let edge = NO_EDGE;
    const seen = new Map<string, string>();
    for (const [index, leaf] of leaves.entries()) {
      const step = grown(edge, leaf, sha);
      edge = step.edge;
      for (const node of step.complete) seen.set(`${node.level}/${node.index}`, hex(node.hash));
      expect(hex(rootOfEdge(edge, sha))).toBe(roots[index + 1]);
    }
    expect(seen.size).toBe(8 + 4 + 2 + 1);
    expect(seen.get('2/1')).toBe(hex(nodeAt(2, 1)));
  });

  it('is found again by its places', () => {
    for (let size = 0; size <= 8; size += 1) {
      const hashes = edgePlaces(size).map(({ level, index }) => nodeAt(level, index));
      expect(hex(rootOfEdge({ size, hashes }, sha))).toBe(roots[size]);
    }
    expect(edgePlaces(2 ** 40 + 5).map(({ level }) => level)).toEqual([40, 2, 0]);
  });

  it('refuses an edge that does not fit its size', () => {
    expect(() => rootOfEdge({ size: 3, hashes: leaves.slice(0, 1) }, sha)).toThrow(RangeError);
    expect(() => grown({ size: 1, hashes: [] }, leaves[0] ?? new Uint8Array(), sha)).toThrow(
      RangeError,
    );
  });
});

interface Published {
  readonly desc: string;
  readonly wantErr: boolean;
  readonly proof: readonly string[] | null;
}
interface Inclusion extends Published {
  readonly leafIdx: number;
  readonly treeSize: number;
  readonly root: string;
  readonly leafHash: string;
}
interface Consistency extends Published {
  readonly size1: number;
  readonly size2: number;
  readonly root1: string;
  readonly root2: string;
}

/** Empty where the published file spells a hash of no bytes. */
const hash = (text: string): Uint8Array => fromBase64(text) ?? new Uint8Array();
const cases = <T>(kind: string): [string, T][] =>
  vectorNames('merkle', kind).flatMap((folder) =>
    vectorNames('merkle', kind, folder).map((file): [string, T] => [
      `${folder}/${file}`,
      JSON.parse(vectorText('merkle', kind, folder, file)) as T,
    ]),
  );

describeWithVectors('the published proofs (transparency-dev/merkle)', () => {
  it.each(cases<Inclusion>('inclusion'))('inclusion %s', (_, published) => {
    const proof = (published.proof ?? []).map(hash);
    const { leafIdx, treeSize, root } = published;
    const stands = inclusionStands(
      leafIdx,
      treeSize,
      hash(published.leafHash),
      proof,
      hash(root),
      sha,
    );
    expect(stands).toBe(!published.wantErr);
  });

  it.each(cases<Consistency>('consistency'))('consistency %s', (_, published) => {
    const proof = (published.proof ?? []).map(hash);
    const { size1, size2, root1, root2 } = published;
    const stands = consistencyStands(size1, size2, hash(root1), hash(root2), proof, sha);
    // An empty tree proves nothing here: such cases are refused, as the file's own library refuses most.
    expect(stands).toBe(!published.wantErr && size1 > 0);
  });
});
