/** Requests for proofs: two numbers in the address, within the tree that is signed. */
import { base64, decimalOf } from '#lib/core/record/index.ts';
import type { Hash } from '#lib/core/record/index.ts';
import type { House } from '../house.ts';
import { lastCheckpoint } from '../log/organisation-log.ts';
import type { TileShelf } from '../log/tile-shelf.ts';
import type { Rows } from '../database/database.ts';
import { answered, refused } from '../refusal.ts';
import { reply } from './replies.ts';

type Prove = (rows: Rows, shelf: TileShelf, one: number, other: number) => Promise<Hash[]>;

/**
 * @param names of the two numbers, the smaller first
 * @param equal whether both may be the same
 */
export async function provenTo(
  house: House,
  address: URL,
  names: readonly [string, string],
  equal: boolean,
  prove: Prove,
): Promise<Response> {
  const [one, other] = names.map((name) => decimalOf(address.searchParams.get(name) ?? ''));
  if (one === null || one === undefined || other === null || other === undefined)
    return reply(refused(400, 'bad-request', `Give whole numbers for ${names.join(' and ')}.`));
  const signed = (await lastCheckpoint(house.database.rows))?.size ?? 0;
  if (other > signed || one > other || (one === other && !equal))
    return reply(
      refused(
        404,
        'no-such-tree',
        `The signed tree has ${signed} leaves; ask within it, in order.`,
      ),
    );
  const proof = await prove(house.database.rows, house.log.shelf, one, other);
  return reply(answered({ proof: proof.map(base64) }));
}
