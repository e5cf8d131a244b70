/** A collecting server without its web pages: a place for records, a log, and a crew whose keys are in. */
import { base64url, enrolmentMessage } from '#lib/core/record/index.ts';
import type { NodeKey } from '#lib/crypto/node.ts';
import { Database } from '#lib/server/database/database.ts';
import { enrolDevice } from '#lib/server/devices/enrol-device.ts';
import { offerEnrolment } from '#lib/server/devices/offer-enrolment.ts';
import { Ingest } from '#lib/server/ingest/ingest.ts';
import { logKey } from '#lib/server/log/log-key.ts';
import { openLog } from '#lib/server/log/open-log.ts';
import type { OrganisationLog } from '#lib/server/log/organisation-log.ts';
import { OutsideCheckpoint } from '#lib/server/log/outside-checkpoint.ts';
import { plainCode } from '#lib/server/secrets.ts';
import { join } from 'node:path';
import type { EmptyPlace } from './test-database.ts';

/** 25 November 2026, 16:00 UTC. */
export const NOON = Date.UTC(2026, 10, 25, 16);

export interface CollectingServer {
  readonly database: Database;
  readonly log: OrganisationLog;
  readonly ingest: Ingest;
  /** Moves by itself never; a test sets it. */
  readonly clock: { now: number };
  close(): Promise<void>;
}

export async function startCollecting({ place, folder }: EmptyPlace): Promise<CollectingServer> {
  const clock = { now: NOON };
  const now = () => clock.now;
  const database = await Database.open(place);
  const key = logKey(join(folder, 'log-key'));
  const outside = new OutsideCheckpoint(folder);
  try {
    const log = await openLog({ database, key, outside, name: 'records.example/crew', now });
    const ingest = new Ingest(database, log, now);
    return { database, log, ingest, clock, close: () => database.close() };
  } catch (error) {
    await database.close();
    throw error;
  }
}

/** Lets a device in with the keys of these people; returns its id. */
export async function enrolCrew(
  server: CollectingServer,
  crew: Readonly<Record<string, NodeKey>>,
): Promise<{ device: string; token: string }> {
  const ground = { ...server, now: () => server.clock.now };
  const people = Object.keys(crew).map((id) => ({ id, name: `${id} of the crew` }));
  const offered = await offerEnrolment(ground, { label: 'van', people, newcomers: false }, 'a-one');
  if (!offered.ok) throw new Error(offered.says);
  const code = plainCode(offered.value.code) ?? '';
  const keys = Object.entries(crew).map(([person, key]) => ({
    person,
    name: '',
    publicKey: base64url(key.publicKey),
    proof: base64url(key.sign(enrolmentMessage({ code, key: key.key, person })) as Uint8Array),
  }));
  const enrolled = await enrolDevice(ground, { code: offered.value.code, keys }, null);
  if (!enrolled.ok) throw new Error(enrolled.says);
  return { device: enrolled.value.device, token: enrolled.value.token ?? '' };
}
