import { IDBFactory } from 'fake-indexeddb';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { noteKeyText, openReceipt, utf8 } from '#lib/core/record/index.ts';
import { keyOfSeed, nodePrimitives } from '#lib/crypto/node.ts';
import type { Fetch } from '#lib/device/sync/server-link.ts';
import { fsck } from '#lib/server/fsck/fsck.ts';
import type { House } from '#lib/server/house.ts';
import { hashBytes } from '#lib/server/ingest/job-branches.ts';
import { OutsideCheckpoint } from '#lib/server/log/outside-checkpoint.ts';
import { enrolCrew, NOON } from '../support/a-collecting-server.ts';
import { entryFields, sealNext } from '../support/a-record.ts';
import { SyncDevice } from '../support/a-sync-device.ts';
import { must } from '../support/fresh-store.ts';
import { BAD_WEATHER, lossyLink } from '../support/lossy-link.ts';
import { between, seeded } from '../support/seeded.ts';
import type { Random } from '../support/seeded.ts';
import { emptyPlace } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';
import { answerAs, openTestHouse } from '../support/wired-server.ts';

const DEVICES = 10;
const STEPS = 60;

/** A seed that ever failed is added here and stays. */
const runs = [
  ['sqlite', 1],
  ['sqlite', 2],
  ['sqlite', 20261125],
  ['postgres', 3],
] as const;

describe.each(runs)('ten devices over a bad link to %s, seed %i', (kind, seed) => {
  let place: EmptyPlace;
  let house: House | null;
  let random: Random;
  let now: number;
  let devices: SyncDevice[];

  const open = async () => (house = await openTestHouse(place, () => (now += 700)));
  /** The server, when it is up. */
  const direct: Fetch = (address, init) =>
    house === null ? Promise.reject(new TypeError('down')) : answerAs(house, address, init);

  beforeEach(async () => {
    globalThis.indexedDB = new IDBFactory();
    random = seeded(seed);
    now = NOON;
    place = await emptyPlace(kind);
    const opened = await open();
    const key = noteKeyText(opened.log.noteKey, nodePrimitives);
    devices = await Promise.all(
      Array.from({ length: DEVICES }, async (_, at) => {
        const own = keyOfSeed(new Uint8Array(32).fill(50 + at));
        const device = await SyncDevice.start(`device-${at}`, `p${at}`, own);
        const clock = { now };
        const enrolled = await enrolCrew(
          { ...opened, clock, close: opened.close },
          { [`p${at}`]: own },
        );
        const { origin } = opened.log;
        const address = 'https://records.example';
        await device.letIn({ address, ...enrolled, origin, key, checkpoint: null });
        return device;
      }),
    );
  });
  afterEach(async () => {
    await house?.close();
    await place.remove();
  });

  const aStep = async (links: readonly Fetch[]): Promise<void> => {
    const chosen = between(random, 0, DEVICES - 1);
    const device = devices[chosen]!;
    const what = random();
    if (what < 0.45) {
      const jobs = [...device.jobs.keys()];
      const job =
        random() < 0.4 || jobs.length === 0 ? undefined : jobs[between(random, 0, jobs.length - 1)];
      await device.record(between(random, 1, 30), job);
    } else if (what < 0.9) {
      const others = [chosen, between(random, 0, DEVICES - 1), between(random, 0, DEVICES - 1)];
      await Promise.all([...new Set(others)].map((at) => devices[at]!.sync(links[at]!)));
    } else if (what < 0.96) {
      await device.restart();
    } else {
      const old = house;
      house = null;
      await old?.close();
      await open();
    }
  };

  test('all agree at the end, and only the liar is reported', { timeout: 120_000 }, async () => {
    const links = devices.map((_, at) => lossyLink(direct, seeded(seed * 100 + at), BAD_WEATHER));
    const fetches = links.map(({ fetch }) => fetch);
    const liar = devices[0]!;
    const job = await liar.record(6);
    await settle(liar, direct);
    for (let at = 0; at < STEPS; at += 1) await aStep(fetches);

    for (const what of Object.keys(BAD_WEATHER) as (keyof typeof BAD_WEATHER)[])
      expect(links.reduce((sum, { met }) => sum + met[what], 0)).toBeGreaterThan(0);

    // The liar tells the end of its job anew, as who works on in a copied profile would.
    await settle(liar, direct);
    const lie = liar.jobs.get(job)!.slice(0, 3);
    for (let at = 0; at < 4; at += 1) {
      const fields = entryFields('amended', { about: `lie ${at}` }, { job, by: liar.person });
      lie.push(await sealNext(lie, fields, liar.key));
    }
    const copy = await SyncDevice.start('copy-of-device-0', liar.person, liar.key);
    await copy.letIn((await settingsOf(liar))!);
    await copy.put(job, [], lie);
    expect(await settle(copy, direct)).toMatchObject({ kind: 'sent', forked: [job] });

    for (const device of devices) {
      const settled = await settle(device, direct);
      expect(settled).toMatchObject({ kind: 'sent', unsent: 0 });
      expect(settled.forked).toEqual(device === liar ? [job] : []);
    }
    await expectAgreement(house!, place, devices);
    const flags = await house!.database.rows
      .selectFrom('flags')
      .innerJoin('jobs', 'jobs.no', 'flags.job_no')
      .select(['flags.code', 'jobs.job'])
      .execute();
    expect(flags).toEqual([{ code: 'fork', job }]);
  });
});

/** In good weather: until there is nothing to wait for. */
async function settle(device: SyncDevice, direct: Fetch) {
  for (let round = 0; ; round += 1) {
    const status = await device.sync(direct);
    if (status.kind !== 'waiting' || round > 20) return status;
  }
}

async function settingsOf(device: SyncDevice) {
  return must(await device.outbox.server());
}

/** Server, devices and the check of the store tell the same. */
async function expectAgreement(
  house: House,
  place: EmptyPlace,
  devices: readonly SyncDevice[],
): Promise<void> {
  const { rows } = house.database;
  for (const device of devices)
    for (const [job, entries] of device.jobs) {
      const stored = await rows
        .selectFrom('leaves')
        .innerJoin('jobs', 'jobs.no', 'leaves.job_no')
        .select('leaves.line')
        .where('jobs.job', '=', job)
        .where('leaves.side', '=', 0)
        .orderBy('leaves.seq')
        .execute();
      expect(stored.map(({ line }) => Buffer.from(line).toString())).toEqual(
        entries.map(({ line }) => Buffer.from(line).toString()),
      );
      const receipts = must(await device.outbox.receipts(job));
      expect(receipts.size).toBe(entries.length);
      for (const [seq, receipt] of receipts) {
        const leaf = hashBytes(entries[seq]!.hash);
        const trusted = [house.log.noteKey];
        const opened = await openReceipt(utf8(receipt), leaf, trusted, nodePrimitives);
        expect(opened).toMatchObject({ ok: true });
      }
    }
  const outside = await new OutsideCheckpoint(place.folder).read();
  const held = await Promise.all(
    devices.map(async (device) => {
      const bytes = utf8((await settingsOf(device))?.checkpoint ?? '');
      return { name: device.name, bytes };
    }),
  );
  const { publicKey } = house.log.key;
  const report = await fsck({ rows, publicKey, outside, held });
  expect(report.checks.filter(({ status }) => status !== 'held')).toEqual([]);
}
