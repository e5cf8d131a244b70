/** Where a server keeps its records, for the verbs that work on them. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { Database } from '#lib/server/database/database.ts';
import { S3Place } from '#lib/server/files/s3-place.ts';
import { logKey } from '#lib/server/log/log-key.ts';
import { OutsideCheckpoint } from '#lib/server/log/outside-checkpoint.ts';
import { readSettings } from '#lib/server/settings.ts';
import type { Settings } from '#lib/server/settings.ts';
import type { NodeKey } from '#lib/crypto/node.ts';
import { Unusable } from './verb.ts';

export const storeFlags = {
  data: { type: 'string' },
  database: { type: 'string' },
} as const;

export const storeDetails = [
  '--data DIR       the data folder of the server; STILLWIRE_DATA or ./data when absent',
  '--database URL   its PostgreSQL address; DATABASE_URL, or the file in the data folder, when absent',
];

/** @throws Unusable when a setting is none */
export function storeSettings(flags: {
  readonly data?: string | undefined;
  readonly database?: string | undefined;
}): Settings {
  const env = {
    ...process.env,
    ...(flags.data === undefined ? {} : { STILLWIRE_DATA: flags.data }),
    ...(flags.database === undefined ? {} : { DATABASE_URL: flags.database }),
  };
  const read = readSettings(env);
  if (read.ok) return read.settings;
  throw new Unusable(read.problems.join('\n'));
}

/** @throws Unusable when there is no store, or it cannot be opened */
export async function lookAtStore(settings: Settings): Promise<Database> {
  try {
    return await Database.look(settings.place);
  } catch (error) {
    throw new Unusable(error instanceof Error ? error.message : String(error));
  }
}

/** The key of the log, which is never made here; null when the folder has none. */
export function keyInFolder({ logKeyFile }: Settings): NodeKey | null {
  return existsSync(logKeyFile) ? logKey(logKeyFile) : null;
}

/** Where whole photos go, as the environment says; null: they are in the database. */
export function photoPlaceOf({ photos }: Settings): S3Place | null {
  return photos === null ? null : new S3Place(photos);
}

export function outsideOf({ data }: Settings): OutsideCheckpoint {
  if (!existsSync(join(data)))
    throw new Unusable(`There is no data folder ${data}. Name it with --data.`);
  return new OutsideCheckpoint(data);
}
