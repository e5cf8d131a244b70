import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { readTrust } from '#lib/core/bag/keys.ts';
import { sourceOf } from '#lib/core/bag/source.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { joined, utf8 } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { webPrimitives } from '#lib/crypto/web.ts';
import { enrolAtServer } from '#lib/device/sync/enrol.ts';
import { Outbox } from '#lib/device/sync/outbox.ts';
import { syncOnce } from '#lib/device/sync/sync.ts';
import {
  endClock,
  escalate,
  runningClocks,
  setClock,
  takeClock,
} from '#lib/server/comeback/come-back.ts';
import { offerEnrolment } from '#lib/server/devices/offer-enrolment.ts';
import type { House } from '#lib/server/house.ts';
import { endShare, listShares, makeShare, openShare } from '#lib/server/shares/share-link.ts';
import { trustList } from '#lib/server/shares/trust-list.ts';
import { NOON } from '../support/a-collecting-server.ts';
import { must } from '../support/fresh-store.ts';
import { FIRST_STEPS, freshDevice, openedJob } from '../support/lamp-job.ts';
import { emptyPlace } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';
import { answerAs, openTestHouse } from '../support/wired-server.ts';

const MINUTE = 60_000;

describe('what the office does with a job that came in', () => {
  let place: EmptyPlace;
  let house: House;
  let now: number;
  let device: string;
  let job: string;

  beforeEach(async () => {
    now = NOON;
    place = await emptyPlace('sqlite');
    house = await openTestHouse(place, () => now);
    const phone = await freshDevice();
    const outbox = new Outbox(phone.store);
    const people = [{ id: 'mara', name: 'Mara Quill' }];
    const offer = { label: 'van 3', people, newcomers: false };
    const offered = await offerEnrolment(house, offer, 'a-one');
    if (!offered.ok) throw new Error(offered.says);
    const reach = (address: string, init: RequestInit) => answerAs(house, address, init);
    const asked = {
      address: 'https://records.example',
      code: offered.value.code,
      people: ['mara'],
    };
    must(await enrolAtServer(asked, outbox, reach, webPrimitives));
    const session = await openedJob(phone);
    for (const order of FIRST_STEPS) await session.submit(order);
    session.close();
    job = session.job;
    expect(await syncOnce(outbox, reach, webPrimitives)).toMatchObject({ kind: 'sent' });
    device = must(await outbox.server())?.device ?? '';
    phone.close();
  });
  afterEach(async () => {
    await house.close();
    await place.remove();
  });

  const openings = async () => {
    const acts = await house.database.rows
      .selectFrom('leaves')
      .select('type')
      .where('type', 'like', 'share.%')
      .orderBy('idx')
      .execute();
    return acts.map(({ type }) => type);
  };

  test('a link leads to a bag that stands by itself, until it ends', async () => {
    const made = await makeShare(
      house,
      { job, reader: 'Harbour Mutual', withhold: ['site'], days: 14 },
      'a-one',
    );
    if (!made.ok) throw new Error(made.says);
    const opened = await openShare(house, made.value.token, '0.1.0');
    if (!opened.ok) throw new Error(opened.says);
    const bytes = joined(...(await Array.fromAsync(opened.value.bytes)));
    const trust = readTrust(utf8(await trustList(house.database.rows, house.log)), nodePrimitives);
    if (!trust.ok) throw new Error(trust.flaw.says);
    const report = await verifyBag(sourceOf(bytes), trust.value, nodePrimitives);
    const failed = report.checks.filter(({ status }) => status === 'failed');
    expect(failed).toEqual([]);
    const receipts = report.checks.find(({ id }) => id === 'receipts');
    expect(receipts).toMatchObject({ status: 'held' });
    expect(Buffer.from(bytes).includes('Tannery Lane')).toBe(false);
    expect(await openings()).toEqual(['share.made', 'share.opened']);

    expect(await openShare(house, 'A'.repeat(43), '0.1.0')).toMatchObject({ status: 404 });
    now += 15 * 24 * 60 * MINUTE;
    expect(await openShare(house, made.value.token, '0.1.0')).toMatchObject({ status: 404 });
    expect(await openings()).toEqual(['share.made', 'share.opened']);
  });

  test('a link can be ended before its day', async () => {
    const asked = { job, reader: 'Harbour Mutual', withhold: [], days: 14 };
    const made = await makeShare(house, asked, 'a-one');
    if (!made.ok) throw new Error(made.says);
    const [listed] = await listShares(house.database.rows, now);
    expect(await endShare(house, listed?.id ?? '', 'a-one')).toMatchObject({ ok: true });
    expect(await openShare(house, made.value.token, '0.1.0')).toMatchObject({ status: 404 });
    expect(await listShares(house.database.rows, now)).toMatchObject([{ ended: true }]);
    const tooLong = await makeShare(house, { ...asked, days: 400 }, 'a-one');
    expect(tooLong).toMatchObject({ code: 'bad-days' });
  });

  test('a come-back clock runs out, is told in steps, and stops when somebody takes it', async () => {
    const { rows } = house.database;
    const { escalation } = house.settings;
    const id = crypto.randomUUID();
    const asked = { id, person: 'mara', job, place: 'attic of 14 Larch Row', minutes: 60 };
    expect(await setClock(rows, device, asked, now)).toMatchObject({ ok: true });
    const stranger = { ...asked, id: crypto.randomUUID(), person: 'tomas' };
    expect(await setClock(rows, device, stranger, now)).toMatchObject({ code: 'not-named' });
    now += 59 * MINUTE;
    expect(await escalate(rows, escalation, now)).toEqual([]);
    now += 2 * MINUTE;
    expect(await escalate(rows, escalation, now)).toEqual([{ clock: id, step: 1 }]);
    expect(await escalate(rows, escalation, now)).toEqual([]);
    now += 15 * MINUTE;
    expect(await escalate(rows, escalation, now)).toEqual([{ clock: id, step: 2 }]);
    expect(await runningClocks(rows, escalation, now)).toMatchObject([
      { name: 'Mara Quill', overdue: 16, step: 2, takenBy: null },
    ]);
    expect(await takeClock(house, id, 'a-one')).toMatchObject({ ok: true });
    now += 60 * MINUTE;
    expect(await escalate(rows, escalation, now)).toEqual([]);
    expect(await endClock(rows, device, id, now)).toMatchObject({ ok: true });
    expect(await runningClocks(rows, escalation, now)).toEqual([]);
    expect(await setClock(rows, device, asked, now)).toMatchObject({ code: 'ended' });
  });
});
