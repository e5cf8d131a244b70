/**
 * What was appended since the last signature, read back from the database before anything is signed:
 * every line hashed again and found in its tile, every changed tile read anew and found to be made from
 * those below it.
 */
import { leafHash, rootAt, sameBytes } from '#lib/core/record/index.ts';
import type { Hash, NodeAt } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import { LogTrouble } from './log-trouble.ts';
import { placeOfNode, TILE_WIDTH, tileName, widthOf } from './tile.ts';
import type { Tile, TilePlace } from './tile.ts';
import { readTiles } from './tile-shelf.ts';
import type { TileShelf } from './tile-shelf.ts';

const LINES_AT_ONCE = 1000;

export const STORED_OTHERWISE =
  'What the database gives back is not what was appended to the log. Nothing more is signed. Run fsck to see what changed, and restore a backup.';

/**
 * The root of the tree of `size` leaves, which is seen to begin with the one that was signed.
 * @throws LogTrouble when anything stored is not as it was appended
 */
export async function readBack(
  rows: Rows,
  shelf: TileShelf,
  signed: { readonly size: number; readonly root: Hash | null },
  size: number,
): Promise<Hash> {
  const tiles = await storedTiles(rows, shelf, signed.size, size);
  const tileAt = (level: number, index: number): Tile => {
    const tile = tiles.get(tileName(level, index));
    if (tile === undefined) throw new LogTrouble(STORED_OTHERWISE);
    return tile;
  };
  await compareLines(rows, signed.size, size, (idx) =>
    tileAt(0, Math.floor(idx / TILE_WIDTH)).node(0, idx % TILE_WIDTH),
  );
  for (const tile of tiles.values()) {
    const above = Math.floor(tile.index / TILE_WIDTH);
    if (tile.width < TILE_WIDTH || widthOf(tile.level + 1, above, size) === 0) continue;
    const told = tiles.get(tileName(tile.level + 1, above));
    // A full tile that was there before stands below one that was read with it.
    if (told !== undefined) mustBeSame(told.node(0, tile.index % TILE_WIDTH), tile.top());
  }
  const nodes: NodeAt = (level, index) => {
    const place = placeOfNode(level, index);
    return tileAt(place.level, place.index).node(place.row, place.at);
  };
  if (signed.root !== null) mustBeSame(rootAt(signed.size, nodes, nodePrimitives), signed.root);
  return rootAt(size, nodes, nodePrimitives);
}

/**
 * The tiles that changed and those at the edge, read anew. Where the shelf has the same bytes, its tile
 * is given: what was joined in it once need not be joined again.
 */
async function storedTiles(
  rows: Rows,
  shelf: TileShelf,
  from: number,
  size: number,
): Promise<ReadonlyMap<string, Tile>> {
  const places = changedTiles(from, size);
  const read = new Map((await readTiles(rows, places)).map((tile) => [tile.name, tile]));
  const tiles = new Map<string, Tile>();
  for (const { level, index, width } of places) {
    const stored = read.get(tileName(level, index));
    if (stored?.width !== width) throw new LogTrouble(STORED_OTHERWISE);
    const kept = shelf.kept(stored.name);
    const same = kept?.width === width && sameBytes(kept.bytes(), stored.bytes());
    tiles.set(stored.name, same ? kept : stored);
    if (!same) shelf.keep(stored);
  }
  return tiles;
}

/** Every tile that leaves from number `from` on are in or under, and the last before them. */
function changedTiles(from: number, size: number): TilePlace[] {
  const places: TilePlace[] = [];
  for (let level = 0; TILE_WIDTH ** level <= size; level += 1) {
    const span = TILE_WIDTH ** (level + 1);
    const last = Math.floor((Math.floor(size / TILE_WIDTH ** level) - 1) / TILE_WIDTH);
    const first = Math.floor(Math.max(0, from - 1) / span);
    for (let index = Math.min(first, last); index <= last; index += 1)
      places.push({ level, index, width: widthOf(level, index, size) });
  }
  return places.filter(({ width }) => width > 0);
}

async function compareLines(
  rows: Rows,
  from: number,
  size: number,
  told: (idx: number) => Hash,
): Promise<void> {
  for (let at = from; at < size;) {
    const upTo = Math.min(size, at + LINES_AT_ONCE);
    const leaves = await rows
      .selectFrom('leaves')
      .select(['idx', 'hash', 'line'])
      .where('idx', '>=', at)
      .where('idx', '<', upTo)
      .orderBy('idx')
      .execute();
    for (const { idx, hash, line } of leaves) {
      if (idx !== at) throw new LogTrouble(STORED_OTHERWISE);
      const leaf = leafHash(line, nodePrimitives);
      mustBeSame(leaf, hash);
      mustBeSame(leaf, told(idx));
      at += 1;
    }
    if (at !== upTo) throw new LogTrouble(STORED_OTHERWISE);
  }
}

function mustBeSame(one: Hash, other: Hash): void {
  if (!sameBytes(one, other)) throw new LogTrouble(STORED_OTHERWISE);
}
