/** Everything that runs for one organisation, opened once for each process. */
import { mkdirSync } from 'node:fs';
import { Database } from './database/database.ts';
import { Ingest } from './ingest/ingest.ts';
import { Judge } from './ingest/judge.ts';
import { logKey } from './log/log-key.ts';
import { openLog } from './log/open-log.ts';
import type { OrganisationLog } from './log/organisation-log.ts';
import { OutsideCheckpoint } from './log/outside-checkpoint.ts';
import { openLogbook } from './logbook.ts';
import type { Logbook } from './logbook.ts';
import type { Settings } from './settings.ts';

export interface House {
  readonly settings: Settings;
  readonly database: Database;
  readonly log: OrganisationLog;
  readonly ingest: Ingest;
  readonly judge: Judge;
  readonly logbook: Logbook;
  /** Milliseconds since 1970. */
  readonly now: () => number;
  close(): Promise<void>;
}

/** @throws Error with a plain sentence when something that is needed is not as it must be */
export async function openHouse(settings: Settings, now: () => number = Date.now): Promise<House> {
  mkdirSync(settings.data, { recursive: true, mode: 0o700 });
  const logbook = openLogbook(settings.logLevel);
  const database = await Database.open(settings.place, (error) =>
    logbook.warn({ error: error.message }, 'A connection to the database broke.'),
  );
  try {
    const key = logKey(settings.logKeyFile);
    const outside = new OutsideCheckpoint(settings.data);
    const name = settings.logName;
    const log = await openLog({ database, key, outside, name, now });
    const judge = new Judge(database, now, (error) =>
      logbook.error({ error: String(error) }, 'The safety monitors were stopped.'),
    );
    const ingest = new Ingest(database, log, now, (jobs) => judge.wake(jobs));
    await judge.wakeUnjudged();
    const close = async () => {
      await judge.rest();
      await database.close();
    };
    return { settings, database, log, ingest, judge, logbook, now, close };
  } catch (error) {
    await database.close();
    throw error;
  }
}

let present: House | null = null;

/** The house of this process, for the endpoints. */
export function house(): House {
  if (present === null) throw new Error('The server has not been opened yet.');
  return present;
}

/** Sets the house of this process; tests set their own. */
export function setHouse(opened: House | null): void {
  present = opened;
}
