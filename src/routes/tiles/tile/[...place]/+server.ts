import { house } from '#lib/server/house.ts';
import { tileAt } from '#lib/server/log/tile-address.ts';
import { readTiles } from '#lib/server/log/tile-shelf.ts';
import { lastCheckpoint } from '#lib/server/log/organisation-log.ts';
import { widthOf } from '#lib/server/log/tile.ts';
import { plainBytes } from '#lib/server/web/replies.ts';
import { error } from '@sveltejs/kit';
import type { RequestHandler } from './$types';

/** Hashes of the tree, never the entries themselves (c2sp.org/tlog-tiles). */
export const GET: RequestHandler = async ({ params }) => {
  const place = tileAt(params.place);
  if (place === null) error(400, 'This is not the address of a tile.');
  const { rows } = house().database;
  const signed = (await lastCheckpoint(rows))?.size ?? 0;
  // What no checkpoint covers is not shown to anybody.
  if (widthOf(place.level, place.index, signed) < place.width)
    error(404, 'The tree has not grown this far.');
  const [tile] = await readTiles(rows, [place]);
  if (tile === undefined) error(404, 'The tree has not grown this far.');
  return plainBytes(tile.bytes(place.width), true);
};
