import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { webPrimitives } from '#lib/crypto/web.ts';
import type { Device } from '#lib/device/device.ts';
import { enrolAtServer } from '#lib/device/sync/enrol.ts';
import { Outbox } from '#lib/device/sync/outbox.ts';
import type { Fetch } from '#lib/device/sync/server-link.ts';
import { syncOnce } from '#lib/device/sync/sync.ts';
import { backUp } from '#lib/server/backup/backup.ts';
import { restore } from '#lib/server/backup/restore.ts';
import { Database } from '#lib/server/database/database.ts';
import { revokeDevice } from '#lib/server/devices/end-keys.ts';
import { offerEnrolment } from '#lib/server/devices/offer-enrolment.ts';
import type { House } from '#lib/server/house.ts';
import { OutsideCheckpoint } from '#lib/server/log/outside-checkpoint.ts';
import { must } from '../support/fresh-store.ts';
import { FIRST_STEPS, freshDevice, LATER_STEPS, openedJob, PHOTO } from '../support/lamp-job.ts';
import { emptyPlace } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';
import { answerAs, openTestHouse } from '../support/wired-server.ts';

const ADDRESS = 'https://records.example';

describe('one device and its server', () => {
  let place: EmptyPlace;
  let house: House;
  let up: boolean;
  let now: number;
  let device: Device;
  let outbox: Outbox;
  const reach: Fetch = (address, init) =>
    up ? answerAs(house, address, init) : Promise.reject(new TypeError('no signal'));
  const sync = () => syncOnce(outbox, reach, webPrimitives);
  const open = async () => (house = await openTestHouse(place, () => (now += 1000)));
  const offered = async (people = ['mara', 'ode']) => {
    const named = people.map((id) => ({ id, name: `${id} of the crew` }));
    const offer = { label: 'van 3', people: named, newcomers: false };
    const made = await offerEnrolment(house, offer, 'a-one');
    if (!made.ok) throw new Error(made.says);
    return made.value.code;
  };
  const enrol = (code: string, people = ['mara', 'ode']) =>
    enrolAtServer({ address: ADDRESS, code, people }, outbox, reach, webPrimitives);
  const work = async (steps: typeof LATER_STEPS) => {
    const session = await openedJob(device);
    for (const order of [...FIRST_STEPS, ...steps])
      await session.submit(order, { photos: [PHOTO] });
    session.close();
    return session;
  };

  beforeEach(async () => {
    // Not a fixed time: the device below runs on the real clock.
    now = Date.now();
    up = true;
    place = await emptyPlace('sqlite');
    await open();
    device = await freshDevice();
    outbox = new Outbox(device.store);
  });
  afterEach(async () => {
    device.close();
    await house.close();
    await place.remove();
  });

  test('works alone, is let in with a code, and everything of a job arrives', async () => {
    const session = await work(LATER_STEPS.slice(0, 0));
    expect(await sync()).toMatchObject({ kind: 'alone', unsent: 4 });
    // As somebody types it: small letters, and a letter O for the digit.
    const code = (await offered()).toLowerCase().replaceAll('0', 'o');
    must(await enrol(code));
    expect(await sync()).toMatchObject({ kind: 'sent', unsent: 0, forked: [] });
    await house.judge.rest();
    const { rows } = house.database;
    const job = await rows.selectFrom('jobs').selectAll().executeTakeFirstOrThrow();
    expect(job).toMatchObject({ job: session.job, count: 4, judged: 4, status: 'atWork' });
    const kept = await rows.selectFrom('disclosures').select('digest').execute();
    expect(kept.length).toBeGreaterThan(0);
    expect(await rows.selectFrom('checklists').select('id').execute()).toHaveLength(1);
    expect(await rows.selectFrom('flags').selectAll().execute()).toEqual([]);
  });

  test('every round holds the clock of the device against the clock of the office', async () => {
    must(await enrol(await offered()));
    now = Date.now() + 15 * 60_000;
    const { clock } = await sync();
    // The clock of the house moves a second each time that it is read.
    expect(clock?.ahead).toBeLessThan(-14 * 60_000);
    expect(clock?.ahead).toBeGreaterThan(-16 * 60_000);
    up = false;
    expect((await sync()).clock).toBeUndefined();
  });

  test('a code is good once, for the people it names, and for a quarter of an hour', async () => {
    expect(await enrol(await offered(['mara']))).toMatchObject({
      trouble: { code: 'server-refused', says: expect.stringContaining('not made for “ode”') },
    });
    const late = await offered();
    now += 16 * 60_000;
    expect(await enrol(late)).toMatchObject({ ok: false });
    const code = await offered();
    must(await enrol(code));
    const again = await enrol(code);
    expect(again).toMatchObject({ trouble: { says: expect.stringContaining('used already') } });
    up = false;
    expect(await enrol(code)).toMatchObject({ trouble: { code: 'server-away' } });
  });

  test('losing the server changes nothing on site, and says what is not sent', async () => {
    must(await enrol(await offered()));
    up = false;
    const session = await work(LATER_STEPS);
    expect(session.view.status).toBe('handedBack');
    const { length } = session.entries;
    expect(await sync()).toMatchObject({ kind: 'waiting', unsent: length });
    up = true;
    // The bytes that stand in for a photo are no picture, and only they are refused.
    expect(await sync()).toMatchObject({ kind: 'sent', unsent: 0 });
    const parts = await Array.fromAsync(house.photos.read(PHOTO.sha256));
    expect(parts).toEqual([]);
  });

  test('a device that the office has ended is still heard, and marked', async () => {
    must(await enrol(await offered()));
    const known = must(await outbox.server())?.device ?? '';
    await revokeDevice(house, known, 'stolen', 'a-one');
    await work([]);
    expect(await sync()).toMatchObject({ kind: 'sent', unsent: 0 });
    const flags = await house.database.rows.selectFrom('flags').select('code').execute();
    expect(flags).toContainEqual({ code: 'late-key' });
  });

  test('a key that is not enrolled keeps its entries on the device, with a sentence', async () => {
    must(await enrol(await offered(['mara']), ['mara']));
    const session = await openedJob(device);
    await session.submit(FIRST_STEPS[0]!, { by: 'mara' });
    session.close();
    expect(await sync()).toMatchObject({ kind: 'sent' });
    await house.database.rows.deleteFrom('keys').execute();
    await house.close();
    await open();
    await openedJob(device).then((next) => next.close());
    expect(await sync()).toMatchObject({
      kind: 'refused',
      unsent: 1,
      says: expect.stringContaining('never enrolled'),
    });
  });

  test('after a restore the device sends again what the backup did not hold', async () => {
    must(await enrol(await offered()));
    const file = join(place.folder, 'backup.sqlite');
    await backUp(house.database, file, null);
    const session = await work([]);
    expect(await sync()).toMatchObject({ kind: 'sent', unsent: 0 });
    const { key } = house.log;
    await house.close();
    for (const end of ['', '-wal', '-shm'])
      await rm(join(place.folder, `records.sqlite${end}`), { force: true });
    const [backup, database] = [
      await Database.look({ kind: 'sqlite', file }),
      await Database.open(place.place),
    ];
    const outside = new OutsideCheckpoint(place.folder);
    await restore(backup, { database, key, outside, now: () => now });
    await backup.close();
    await database.close();
    await open();
    expect(await sync()).toMatchObject({ kind: 'sent', unsent: 0 });
    expect(must(await outbox.server())?.origin).toBe('records.example/crew/2');
    const job = await house.database.rows
      .selectFrom('jobs')
      .select(['job', 'count'])
      .executeTakeFirst();
    expect(job).toEqual({ job: session.job, count: 4 });
  });

  test('a server that shows another past is found out by the checkpoint kept here', async () => {
    must(await enrol(await offered()));
    await work([]);
    expect(await sync()).toMatchObject({ kind: 'sent' });
    const { rows } = house.database;
    const devices = await rows.selectFrom('devices').selectAll().execute();
    await house.close();
    // The operator, who has the key of the log, begins it again without that job.
    for (const name of [
      'records.sqlite',
      'records.sqlite-wal',
      'records.sqlite-shm',
      'last-checkpoint',
    ])
      await rm(join(place.folder, name), { force: true });
    await open();
    await house.database.rows.insertInto('devices').values(devices).execute();
    const before = must(await outbox.unsent());
    expect(await sync()).toMatchObject({ kind: 'alarm', notes: expect.any(Array) });
    expect(must(await outbox.unsent())).toBe(before);
    // And no less when the false log has grown longer than the true one.
    for (let at = 0; at < 12; at += 1) await offered();
    expect(await sync()).toMatchObject({ kind: 'alarm' });
  });
});
