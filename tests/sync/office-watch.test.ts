// The come-back clock of a device and the office's half of it, over a link that comes and goes.
import { afterEach, beforeEach, expect, test } from 'vitest';
import { webPrimitives } from '#lib/crypto/web.ts';
import type { Device } from '#lib/device/device.ts';
import { enrolAtServer } from '#lib/device/sync/enrol.ts';
import { tellOffice } from '#lib/device/sync/office-watch.ts';
import type { OfficeClockTold } from '#lib/device/sync/office-watch.ts';
import { Outbox } from '#lib/device/sync/outbox.ts';
import { ServerLink } from '#lib/device/sync/server-link.ts';
import type { Fetch } from '#lib/device/sync/server-link.ts';
import { runningClocks, settleClock } from '#lib/server/comeback/come-back.ts';
import { offerEnrolment } from '#lib/server/devices/offer-enrolment.ts';
import type { House } from '#lib/server/house.ts';
import { must } from '../support/fresh-store.ts';
import { freshDevice } from '../support/lamp-job.ts';
import { emptyPlace } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';
import { answerAs, openTestHouse } from '../support/wired-server.ts';

const MINUTE = 60_000;
const ADDRESS = 'https://records.example';
const JOB = '019ac0de-7000-7abc-8def-0000000c10c0';

let place: EmptyPlace;
let house: House;
let device: Device;
let link: ServerLink;
let now: number;
let up: boolean;
let told: OfficeClockTold | null;

const reach: Fetch = (address, init) =>
  up ? answerAs(house, address, init) : Promise.reject(new TypeError('no signal'));

/** What the screen says after the office was told, or was not. */
async function tell(due: number | null, person = 'mara') {
  const expected = { person, job: JOB, place: 'Cellar of 14 Larch Row', due };
  const answer = await tellOffice(link, told, expected, now, () => crypto.randomUUID());
  told = answer.clock;
  return answer.watch;
}

const board = () => runningClocks(house.database.rows, house.settings.escalation, now);

beforeEach(async () => {
  now = Date.now();
  up = true;
  told = null;
  place = await emptyPlace('sqlite');
  house = await openTestHouse(place, () => now);
  device = await freshDevice();
  const outbox = new Outbox(device.store);
  const people = [{ id: 'mara', name: 'Mara Quill' }];
  const offer = await offerEnrolment(house, { label: 'van 3', people, newcomers: false }, 'a-one');
  if (!offer.ok) throw new Error(offer.says);
  const { code } = offer.value;
  must(
    await enrolAtServer({ address: ADDRESS, code, people: ['mara'] }, outbox, reach, webPrimitives),
  );
  const server = must(await outbox.server());
  link = new ServerLink(ADDRESS, server?.token ?? '', reach);
});
afterEach(async () => {
  device.close();
  await house.close();
  await place.remove();
});

test('the office goes by the last sign of life that it heard, and by nothing of the device', async () => {
  expect(await tell(now + 60 * MINUTE)).toEqual({ by: 'office', due: now + 60 * MINUTE });
  expect(await board()).toMatchObject([
    { person: 'mara', name: 'Mara Quill', job: JOB, place: 'Cellar of 14 Larch Row', overdue: -60 },
  ]);
  const first = now + 60 * MINUTE;
  now += 50 * MINUTE;
  up = false;
  // A sign of life that does not arrive: it still goes by the older time, and the screen says which.
  expect(await tell(now + 60 * MINUTE)).toEqual({ by: 'unanswered', due: first });
  now += 15 * MINUTE;
  expect(await board()).toMatchObject([{ overdue: 5 }]);
  up = true;
  expect(await tell(now + 45 * MINUTE)).toEqual({ by: 'office', due: now + 45 * MINUTE });
  expect(await board()).toMatchObject([{ overdue: -45 }]);

  up = false;
  expect(await tell(null)).toMatchObject({ by: 'unanswered' });
  expect(await board()).toHaveLength(1);
  up = true;
  expect(await tell(null)).toEqual({ by: 'nobody', office: true });
  expect(await board()).toEqual([]);
});

test('a clock that the office ended begins anew at the next sign of life; overdue is left to the office', async () => {
  await tell(now + 10 * MINUTE);
  now += 30 * MINUTE;
  expect(await tell(now - 20 * MINUTE)).toMatchObject({ by: 'office' });
  const late = await board();
  expect(late).toMatchObject([{ overdue: 20 }]);
  await settleClock(house, late[0]?.id ?? '', 'a-one');
  expect(await tell(now + 30 * MINUTE)).toMatchObject({ by: 'office' });
  expect(await board()).toMatchObject([{ overdue: -30 }]);
});

test('nobody watches without an office, without an answer, and over somebody it does not know', async () => {
  const expected = { person: 'mara', job: JOB, place: '', due: now + MINUTE };
  const alone = await tellOffice(null, null, expected, now, () => crypto.randomUUID());
  expect(alone).toEqual({ watch: { by: 'nobody', office: false }, clock: null });
  up = false;
  expect(await tell(now + MINUTE)).toEqual({ by: 'unanswered' });
  up = true;
  expect(await tell(now + MINUTE, 'ode')).toMatchObject({
    by: 'refused',
    says: expect.stringContaining('only for its own people'),
  });
  expect(await board()).toEqual([]);
});
