/**
 * Reads tiles from the database and keeps those that were used last. A tile only ever grows at its
 * end, so one that is held is good for every tree that needs no more of it.
 */
import type { Hash, NodeAt } from '#lib/core/record/index.ts';
import type { Rows } from '../database/database.ts';
import { LogTrouble } from './log-trouble.ts';
import { HASH_BYTES, placeOfNode, Tile, tileName, tilesFor } from './tile.ts';
import type { TilePlace } from './tile.ts';

/** About 16 KiB each. */
const MOST_KEPT = 512;

export class TileShelf {
  readonly #kept = new Map<string, Tile>();

  /** A look-up for every subtree that proofs about these leaves in a tree of `size` leaves need. */
  async nodesFor(rows: Rows, leaves: readonly number[], size: number): Promise<NodeAt> {
    const tiles = await this.take(rows, tilesFor(leaves, size));
    // Leaves one after the other are asked about: on each level they mostly need the tile of the one before.
    const last: Tile[] = [];
    return (level, index): Hash => {
      const place = placeOfNode(level, index);
      const held = last[place.level];
      const tile =
        held?.index === place.index ? held : tiles.get(tileName(place.level, place.index));
      if (tile === undefined)
        throw new RangeError(`${tileName(place.level, place.index)} was not asked for.`);
      last[place.level] = tile;
      return tile.node(place.row, place.at);
    };
  }

  /** Tiles by name, each at least as wide as asked. @throws LogTrouble when the database lacks one */
  async take(rows: Rows, places: readonly TilePlace[]): Promise<ReadonlyMap<string, Tile>> {
    const found = new Map<string, Tile>();
    const missing = places.filter((place) => {
      const name = tileName(place.level, place.index);
      const kept = this.#kept.get(name);
      if (kept === undefined || kept.width < place.width) return true;
      this.keep(kept);
      found.set(name, kept);
      return false;
    });
    for (const tile of await readTiles(rows, missing)) {
      this.keep(tile);
      found.set(tile.name, tile);
    }
    for (const { level, index, width } of missing) {
      const held = found.get(tileName(level, index))?.width ?? 0;
      if (held < width)
        throw new LogTrouble(
          `The database holds ${held} of the ${width} hashes of ${tileName(level, index)}. Run fsck.`,
        );
    }
    return found;
  }

  /** A tile that is at hand, whatever its width. */
  kept(name: string): Tile | undefined {
    return this.#kept.get(name);
  }

  keep(tile: Tile): void {
    this.#kept.delete(tile.name);
    this.#kept.set(tile.name, tile);
    const oldest = this.#kept.keys().next();
    if (this.#kept.size > MOST_KEPT && oldest.done !== true) this.#kept.delete(oldest.value);
  }

  forget(): void {
    this.#kept.clear();
  }
}

/** The tiles as the database holds them, those that are missing left out. */
export async function readTiles(
  rows: Rows,
  places: readonly { readonly level: number; readonly index: number }[],
): Promise<Tile[]> {
  if (places.length === 0) return [];
  const found = await rows
    .selectFrom('tiles')
    .selectAll()
    .where((is) => is.or(places.map(({ level, index }) => is.and({ level, idx: index }))))
    .execute();
  return found.map(({ level, idx, hashes }) => {
    if (hashes.length % HASH_BYTES !== 0)
      throw new LogTrouble(`${tileName(level, idx)} is not whole hashes. Run fsck.`);
    return Tile.read(level, idx, hashes);
  });
}
