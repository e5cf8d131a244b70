import { fc, test } from '@fast-check/vitest';
import { expect } from 'vitest';
import {
  consistencyProof,
  inclusionProof,
  rootAt,
  treeOf,
  type Hash,
} from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '#lib/server/database/database.ts';
import { grownTiles } from '#lib/server/log/grow-tiles.ts';
import { TileShelf } from '#lib/server/log/tile-shelf.ts';

const nobody = null as unknown as Rows;

/** Distinct leaves, the same for the same number. */
const leaf = (at: number): Hash => nodePrimitives.sha256(new Uint8Array([at & 255, at >> 8]));

/** A tree grown in these steps, all of its tiles on one shelf. */
async function grownIn(steps: readonly number[]): Promise<TileShelf> {
  const shelf = new TileShelf();
  let size = 0;
  for (const step of steps) {
    const leaves = Array.from({ length: step }, (_, at) => leaf(size + at));
    for (const tile of await grownTiles(nobody, shelf, size, leaves)) shelf.keep(tile);
    size += step;
  }
  return shelf;
}

const steps = fc.array(fc.integer({ min: 1, max: 300 }), { minLength: 1, maxLength: 8 });

test.prop([steps, fc.nat(), fc.nat()], { numRuns: 60 })(
  'tiles give every root and proof that the whole tree gives, however it grew',
  async (grownBy, one, other) => {
    const size = grownBy.reduce((sum, step) => sum + step, 0);
    const shelf = await grownIn(grownBy);
    const whole = treeOf(
      Array.from({ length: size }, (_, at) => leaf(at)),
      nodePrimitives,
    );
    const index = one % size;
    const older = (other % size) + 1;
    const nodes = await shelf.nodesFor(nobody, [index, older - 1, older], size);
    expect(rootAt(size, nodes, nodePrimitives)).toEqual(rootAt(size, whole.nodeAt, nodePrimitives));
    expect(inclusionProof(index, size, nodes, nodePrimitives)).toEqual(
      inclusionProof(index, size, whole.nodeAt, nodePrimitives),
    );
    expect(consistencyProof(older, size, nodes, nodePrimitives)).toEqual(
      consistencyProof(older, size, whole.nodeAt, nodePrimitives),
    );
    // An older tree is still there in the tiles of the newer one.
    const before = await shelf.nodesFor(nobody, [], older);
    expect(rootAt(older, before, nodePrimitives)).toEqual(
      rootAt(older, whole.nodeAt, nodePrimitives),
    );
  },
);
