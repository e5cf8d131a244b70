/** Everything that runs for one organisation, opened once for each process. */
import { mkdirSync } from 'node:fs';
import { SetUp } from './accounts/set-up.ts';
import { sweepSessions } from './accounts/sessions.ts';
import { sweepTries } from './accounts/tries.ts';
import { escalate } from './comeback/come-back.ts';
import { Database } from './database/database.ts';
import { PhotoShelf } from './files/photo-shelf.ts';
import { S3Place } from './files/s3-place.ts';
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
  readonly photos: PhotoShelf;
  /** Null when the office had an account before this process was started. */
  readonly setUp: SetUp | null;
  readonly logbook: Logbook;
  /** Milliseconds since 1970. */
  readonly now: () => number;
  close(): Promise<void>;
}

/** @throws Error with a plain sentence when something that is needed is not as it must be */
export async function openHouse(settings: Settings, now: () => number = Date.now): Promise<House> {
  mkdirSync(settings.data, { recursive: true, mode: 0o700 });
  const logbook = openLogbook(settings.logLevel);
  const place = settings.photos === null ? null : new S3Place(settings.photos);
  await place?.check();
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
    const photos = new PhotoShelf(database.rows, place, (trouble) =>
      logbook.error({ error: trouble.message }, 'A photo could not be put away.'),
    );
    await judge.wakeUnjudged();
    const setUp = await SetUp.ifNeeded(database.rows);
    const rounds = setInterval(() => {
      round(database, settings, logbook, now()).catch((error: unknown) =>
        logbook.error({ error: String(error) }, 'A round through the clocks was stopped.'),
      );
    }, ROUND_MS);
    rounds.unref();
    const close = async () => {
      clearInterval(rounds);
      await judge.rest();
      await database.close();
    };
    return { settings, database, log, ingest, judge, photos, setUp, logbook, now, close };
  } catch (error) {
    await database.close();
    throw error;
  }
}

const ROUND_MS = 30_000;

/** What comes up by itself: clocks that ran out, and what may be forgotten. */
async function round(
  { rows }: Database,
  { escalation }: Settings,
  logbook: Logbook,
  now: number,
): Promise<void> {
  for (const { clock, step } of await escalate(rows, escalation, now))
    logbook.warn({ clock, step }, 'A come-back clock has run out; the board tells whose.');
  await sweepSessions(rows, now);
  await sweepTries(rows, now);
}

let present: House | null = null;

/** The house of this process, for the endpoints. */
export function house(): House {
  if (present === null) throw new Error('The server has not been opened yet.');
  return present;
}

/** Whether the office has no account yet, and can be set up here. */
export async function setUpWaits({ setUp, database }: House): Promise<boolean> {
  return setUp !== null && setUp.waits(database.rows);
}

/** Sets the house of this process; tests set their own. */
export function setHouse(opened: House | null): void {
  present = opened;
}
