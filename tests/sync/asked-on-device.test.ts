import { afterEach, beforeEach, expect, test } from 'vitest';
import { base64url, fromBase64url, lookAnswerMessage } from '#lib/core/record/index.ts';
import { verifyWithCheckedKey } from '#lib/core/record/index.ts';
import { webPrimitives } from '#lib/crypto/web.ts';
import type { Device } from '#lib/device/device.ts';
import { signerOf } from '#lib/device/keys.ts';
import { enrolAtServer } from '#lib/device/sync/enrol.ts';
import { Outbox } from '#lib/device/sync/outbox.ts';
import { keepAnswer, questionsKept } from '#lib/device/sync/questions.ts';
import { ServerLink, type Fetch } from '#lib/device/sync/server-link.ts';
import { syncOnce } from '#lib/device/sync/sync.ts';
import { offerEnrolment } from '#lib/server/devices/offer-enrolment.ts';
import type { House } from '#lib/server/house.ts';
import { readAct } from '#lib/server/log/act.ts';
import { askAbout, closeLook, noteOn } from '#lib/server/looks/look-acts.ts';
import { wordsAbout } from '#lib/server/looks/words-kept.ts';
import { must } from '../support/fresh-store.ts';
import { freshDevice } from '../support/lamp-job.ts';
import { aLook } from '../support/a-look.ts';
import { emptyPlace, type EmptyPlace } from '../support/test-database.ts';
import { answerAs, openTestHouse } from '../support/wired-server.ts';

const ADDRESS = 'https://records.example';

let place: EmptyPlace;
let house: House;
let device: Device;
let outbox: Outbox;
let up = true;
const reach: Fetch = (address, init) =>
  up ? answerAs(house, address, init) : Promise.reject(new TypeError('no signal'));
const sync = () => syncOnce(outbox, reach, webPrimitives);
const kept = async () => must(await questionsKept(outbox.store));

beforeEach(async () => {
  up = true;
  place = await emptyPlace('sqlite');
  house = await openTestHouse(place, () => Date.now());
  device = await freshDevice();
  outbox = new Outbox(device.store);
  const people = [{ id: 'mara', name: 'Mara Quill' }];
  const offer = await offerEnrolment(house, { label: 'van 3', people, newcomers: false }, 'a-one');
  if (!offer.ok) throw new Error(offer.says);
  const asked = { address: ADDRESS, code: offer.value.code, people: ['mara'] };
  must(await enrolAtServer(asked, outbox, reach, webPrimitives));
});
afterEach(async () => {
  device.close();
  await house.close();
  await place.remove();
});

const ask = (look: number) => askAbout(house, { look, text: 'Who set the clock?' }, 'a-one');

test('a question reaches the device of its person alone, and their signed answer comes first', async () => {
  const { rows } = house.database;
  await aLook(rows, 1, 'mara');
  await aLook(rows, 2, 'ode');
  await sync();
  // Found is not asked: nobody on site hears of it.
  expect(await kept()).toEqual([]);
  expect(await ask(1)).toMatchObject({ ok: true });
  expect(await ask(2)).toMatchObject({ ok: true });
  await sync();
  expect(await kept()).toMatchObject([
    { look: 1, name: 'Mara Quill', asks: 'Who set the clock?', finding: { rule: 'D11' } },
  ]);

  // Written without a signal, it waits; the officer cannot go before it.
  up = false;
  must(await keepAnswer(outbox.store, 1, 'The phone did, by itself.'));
  expect(await sync()).toMatchObject({ kind: 'waiting' });
  expect(await kept()).toMatchObject([{ answering: { text: 'The phone did, by itself.' } }]);
  expect(await noteOn(house, { look: 1, text: 'x' }, 'a-one')).toMatchObject({
    code: 'person-first',
  });
  up = true;
  expect(await sync()).toMatchObject({ kind: 'sent' });
  expect(await kept()).toEqual([]);
  expect(await wordsAbout(rows, { look: 1 })).toMatchObject([
    { kind: 'ask' },
    { kind: 'answer', by: 'Mara Quill', text: 'The phone did, by itself.' },
  ]);
  expect(await noteOn(house, { look: 1, text: 'So it was.' }, 'a-one')).toMatchObject({ ok: true });

  // A stranger with the act and the public key can tell that Mara's key signed this answer, and no other.
  const leaves = await rows.selectFrom('leaves').select('line').orderBy('idx').execute();
  const acts = leaves
    .map(({ line }) => readAct(line))
    .flatMap((read) => (read.ok ? [read.value] : []));
  const body = acts.find(({ act }) => act.type === 'look.answered')?.act.body ?? {};
  const hand = must(await signerOf(outbox.store.connection, 'mara'));
  expect(body).toMatchObject({ look: 1, key: hand.key });
  const statement = {
    log: house.log.origin,
    look: 1,
    person: 'mara',
    words: String(body['words']),
  };
  const proof = fromBase64url(String(body['proof'])) ?? new Uint8Array();
  const stands = (of: typeof statement) =>
    verifyWithCheckedKey(webPrimitives, hand.publicKey, lookAnswerMessage(of), proof);
  expect(await stands(statement)).toBe(true);
  expect(await stands({ ...statement, look: 2 })).toBe(false);
  expect(await stands({ ...statement, log: 'records.example/other' })).toBe(false);
});

test('an answer that nobody waits for stays on the device and says why; a false one is refused', async () => {
  const { rows } = house.database;
  await aLook(rows, 1, 'mara');
  await ask(1);
  await sync();
  must(await keepAnswer(outbox.store, 1, 'Too late.'));
  expect(await closeLook(house, { look: 1, text: 'x', as: 'ours' }, 'a-one')).toMatchObject({
    code: 'person-first',
  });
  await rows.updateTable('looks').set({ closed_at: 1 }).where('no', '=', 1).execute();
  await sync();
  expect(await kept()).toMatchObject([
    { answering: { text: 'Too late.', refused: expect.stringContaining('not asked any more') } },
  ]);
  must(await keepAnswer(outbox.store, 1, null));
  await sync();
  expect(await kept()).toEqual([]);

  await aLook(rows, 3, 'mara');
  await ask(3);
  const { token } = must(await outbox.server()) ?? { token: null };
  const hand = must(await signerOf(outbox.store.connection, 'mara'));
  const words = base64url(new TextEncoder().encode('["salt","text","Somebody else wrote this."]'));
  const proof = base64url(await hand.sign(new TextEncoder().encode('something else')));
  const forged = { look: 3, person: 'mara', key: hand.key, words, proof };
  const link = new ServerLink(ADDRESS, token, reach);
  expect(await link.answer(forged)).toMatchObject({ failure: { code: 'bad-proof' } });
  expect(await link.answer({ ...forged, person: 'ode' })).toMatchObject({
    failure: { code: 'not-named' },
  });
  expect(await new ServerLink(ADDRESS, null, reach).questions()).toMatchObject({
    failure: { code: 'unknown-device' },
  });
  expect((await wordsAbout(rows, { look: 3 })).map(({ kind }) => kind)).toEqual(['ask']);
});
