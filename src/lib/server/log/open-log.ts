/** Opens the log of a database, or begins it in an empty one. */
import { base64url, sameBytes } from '#lib/core/record/index.ts';
import type { NodeKey } from '#lib/crypto/node.ts';
import type { Database } from '../database/database.ts';
import { LogTrouble } from './log-trouble.ts';
import { OrganisationLog } from './organisation-log.ts';
import type { OutsideCheckpoint } from './outside-checkpoint.ts';

export interface LogPlace {
  readonly database: Database;
  readonly key: NodeKey;
  readonly outside: OutsideCheckpoint;
  /** Name of a log that is begun here, without its number: `records.example/north`. */
  readonly name: string;
  readonly now: () => number;
}

/** @throws LogTrouble when database, key and outside checkpoint do not belong together */
export async function openLog(place: LogPlace): Promise<OrganisationLog> {
  const { database, key, outside, now } = place;
  const origin = (await originOf(place)) ?? (await firstLog(place));
  const log = new OrganisationLog({ database, key, outside, origin, now });
  await log.begin();
  return log;
}

async function originOf({ database, key }: LogPlace): Promise<string | null> {
  const row = await database.rows
    .selectFrom('tree')
    .innerJoin('logs', 'logs.no', 'tree.log_no')
    .select(['logs.origin', 'logs.public_key'])
    .executeTakeFirst();
  if (row === undefined) return null;
  if (!sameBytes(row.public_key, key.publicKey))
    throw new LogTrouble(
      `The log of this database, ${row.origin}, was begun with another signing key than the one in the data folder. Nothing was changed. Use the data folder that belongs to this database.`,
    );
  return row.origin;
}

async function firstLog(place: LogPlace): Promise<string> {
  const { database, key, outside, name, now } = place;
  if ((await outside.read()) !== null)
    throw new LogTrouble(
      `The database is empty, but the data folder holds a signed checkpoint (${outside.path}): the records that it covers were lost or are in another database. Nothing was changed. Restore a backup with: stillwire restore.`,
    );
  const origin = `${name}/1`;
  const log = new OrganisationLog({ database, key, outside, origin, now });
  const first = await log.actLeaf('log.begun', { key: base64url(key.publicKey), origin }, 'server');
  await database.alone(async (rows) => {
    // Another process may have been quicker.
    const begun = await rows.selectFrom('tree').select('id').executeTakeFirst();
    if (begun !== undefined) return;
    await rows
      .insertInto('logs')
      .values({ no: 1, origin, public_key: key.publicKey, begun_at: now() })
      .execute();
    await rows.insertInto('tree').values({ id: 1, log_no: 1, size: 0 }).execute();
    await log.appendIn(rows, 0, [first]);
  });
  return (await originOf(place)) ?? origin;
}
