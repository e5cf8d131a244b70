/**
 * Tiles of the tree, as c2sp.org/tlog-tiles has them: up to 256 hashes of one level in a row. The tile
 * (level, index) holds the complete subtrees of 256^level leaves from number index × 256 on.
 */
import { nodeHash } from '#lib/core/record/index.ts';
import type { Hash } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';

export const TILE_WIDTH = 256;
const TILE_HEIGHT = 8;
export const HASH_BYTES = 32;

export class Tile {
  readonly level: number;
  readonly index: number;
  /** Rows of hashes: those of the tile, and above each the joined pairs, made when asked for. */
  readonly #rows: Hash[][];

  constructor(level: number, index: number, hashes: readonly Hash[] = []) {
    this.level = level;
    this.index = index;
    this.#rows = [[...hashes]];
  }

  static read(level: number, index: number, bytes: Uint8Array): Tile {
    const hashes: Hash[] = [];
    for (let at = 0; at < bytes.length; at += HASH_BYTES)
      hashes.push(bytes.subarray(at, at + HASH_BYTES));
    return new Tile(level, index, hashes);
  }

  /** A copy of the first `width` hashes, with all that is known above them. */
  first(width: number): Tile {
    if (width > this.width) throw new RangeError(`${this.name} holds ${this.width} hashes only.`);
    const copy = new Tile(this.level, this.index);
    this.#rows.forEach((row, at) => (copy.#rows[at] = row.slice(0, width >> at)));
    return copy;
  }

  get width(): number {
    return this.#rows[0]?.length ?? 0;
  }

  push(hash: Hash): void {
    this.#rows[0]?.push(hash);
  }

  /** @param width how many of the hashes, from the first */
  bytes(width = this.width): Uint8Array {
    const all = new Uint8Array(width * HASH_BYTES);
    for (let at = 0; at < width; at += 1) all.set(this.node(0, at), at * HASH_BYTES);
    return all;
  }

  /**
   * The hash over 2^row hashes of the tile, from number `place` × 2^row on.
   * @throws RangeError when the tile does not hold them all
   */
  node(row: number, place: number): Hash {
    const known = this.#rows[row]?.[place];
    if (known !== undefined) return known;
    if (row === 0) throw new RangeError(`${this.name} holds no hash ${place}.`);
    const hash = nodeHash(
      this.node(row - 1, place * 2),
      this.node(row - 1, place * 2 + 1),
      nodePrimitives,
    );
    (this.#rows[row] ??= [])[place] = hash;
    return hash;
  }

  /** The hash over a full tile: one hash of the tile above. */
  top(): Hash {
    return this.node(TILE_HEIGHT, 0);
  }

  get name(): string {
    return tileName(this.level, this.index);
  }
}

export function tileName(level: number, index: number): string {
  return `tile ${level}/${index}`;
}

export interface TilePlace {
  readonly level: number;
  readonly index: number;
  /** Hashes of it that a tree of this size has. */
  readonly width: number;
}

/** Where the complete subtree (level, index) of the tree is found: a tile, and the place in it. */
export function placeOfNode(
  level: number,
  index: number,
): { readonly level: number; readonly index: number; readonly row: number; readonly at: number } {
  const row = level % TILE_HEIGHT;
  const first = index * 2 ** row;
  return {
    level: Math.floor(level / TILE_HEIGHT),
    index: Math.floor(first / TILE_WIDTH),
    row,
    at: (first % TILE_WIDTH) / 2 ** row,
  };
}

/** How many hashes the tile has in a tree of `size` leaves; 0 where there is no such tile yet. */
export function widthOf(level: number, index: number, size: number): number {
  const inLevel = Math.floor(size / TILE_WIDTH ** level);
  return Math.max(0, Math.min(TILE_WIDTH, inLevel - index * TILE_WIDTH));
}

/**
 * The tiles that any proof about these leaves in a tree of `size` can need: on each level those on the
 * way from a leaf upwards, and the last.
 */
export function tilesFor(leaves: readonly number[], size: number): TilePlace[] {
  const wanted: TilePlace[] = [];
  for (let level = 0; TILE_WIDTH ** level <= size; level += 1) {
    const span = TILE_WIDTH ** (level + 1);
    const last = Math.floor(size / TILE_WIDTH ** level) - 1;
    const indices = new Set([Math.floor(last / TILE_WIDTH)]);
    for (const leaf of leaves) indices.add(Math.floor(leaf / span));
    for (const index of indices) {
      const width = widthOf(level, index, size);
      if (width > 0) wanted.push({ level, index, width });
    }
  }
  return wanted;
}
