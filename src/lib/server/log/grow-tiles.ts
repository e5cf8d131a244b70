/** Grows the tiles of the tree by new leaves: which rows change, and how. */
import type { Hash } from '#lib/core/record/index.ts';
import type { Rows } from '../database/database.ts';
import { Tile, TILE_WIDTH, tileName, widthOf } from './tile.ts';
import type { TilePlace } from './tile.ts';
import type { TileShelf } from './tile-shelf.ts';

/**
 * The tiles that change when `leaves` are appended to a tree of `size`: copies, so that nothing is
 * changed that a reader may hold.
 */
export async function grownTiles(
  rows: Rows,
  shelf: TileShelf,
  size: number,
  leaves: readonly Hash[],
): Promise<Tile[]> {
  const edge = await shelf.take(rows, edgeTiles(size));
  const changed = new Map<string, Tile>();
  const append = (level: number, at: number, hash: Hash): void => {
    const index = Math.floor(at / TILE_WIDTH);
    const name = tileName(level, index);
    let tile = changed.get(name);
    if (tile === undefined) {
      // More may be there from an append that was undone.
      tile = edge.get(name)?.first(at % TILE_WIDTH) ?? new Tile(level, index);
      changed.set(name, tile);
    }
    tile.push(hash);
    if (tile.width === TILE_WIDTH) append(level + 1, index, tile.top());
  };
  leaves.forEach((leaf, at) => append(0, size + at, leaf));
  return [...changed.values()];
}

/** The tiles at the right edge of a tree that have room left. */
export function edgeTiles(size: number): TilePlace[] {
  const places: TilePlace[] = [];
  for (let level = 0; TILE_WIDTH ** level <= size; level += 1) {
    const index = Math.floor(size / TILE_WIDTH ** (level + 1));
    const width = widthOf(level, index, size);
    if (width > 0) places.push({ level, index, width });
  }
  return places;
}

export async function writeTiles(rows: Rows, tiles: readonly Tile[]): Promise<void> {
  if (tiles.length === 0) return;
  await rows
    .insertInto('tiles')
    .values(tiles.map((tile) => ({ level: tile.level, idx: tile.index, hashes: tile.bytes() })))
    .onConflict((on) =>
      on.columns(['level', 'idx']).doUpdateSet((set) => ({ hashes: set.ref('excluded.hashes') })),
    )
    .execute();
}
