import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import {
  changeRole,
  disableAccount,
  makeAccount,
  setPassword,
} from '#lib/server/accounts/accounts.ts';
import {
  addPasskey,
  offerRegistration,
  offerSignIn,
  partyOf,
  signInWithPasskey,
} from '#lib/server/accounts/passkeys.ts';
import { beginSession, endSession, sessionOf } from '#lib/server/accounts/sessions.ts';
import { SetUp } from '#lib/server/accounts/set-up.ts';
import { signIn } from '#lib/server/accounts/sign-in.ts';
import { countTry, limitsOf } from '#lib/server/accounts/tries.ts';
import { fsck } from '#lib/server/fsck/fsck.ts';
import { startCollecting } from '../support/a-collecting-server.ts';
import type { CollectingServer } from '../support/a-collecting-server.ts';
import { SoftPasskey } from '../support/soft-passkey.ts';
import { emptyPlace, kinds } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

const PASSWORD = 'seven copper bus bars';
const ORIGIN = 'https://records.example';
const MINUTE = 60_000;

describe.each(kinds)('accounts in %s', (kind) => {
  let place: EmptyPlace;
  let server: CollectingServer;
  let officer: string;
  const now = () => server.clock.now;
  const ground = () => ({ log: server.log, database: server.database, now });
  const made = (login: string, role: 'officer' | 'dispatcher' | 'reader') =>
    makeAccount(
      ground(),
      { login, name: `${login} of the office`, role, password: PASSWORD },
      officer,
    );
  const idOf = (answer: Awaited<ReturnType<typeof made>>) => {
    if (!answer.ok) throw new Error(answer.says);
    return answer.value.id;
  };
  const person = async (account: string) => {
    const token = await beginSession(server.database.rows, account, now());
    return (await sessionOf(server.database.rows, token, now()))!;
  };

  beforeAll(async () => {
    place = await emptyPlace(kind);
    server = await startCollecting(place);
    const setUp = await SetUp.ifNeeded(server.database.rows);
    const first = { login: 'Ines', name: 'Ines Vahl', password: PASSWORD };
    expect(await setUp?.make(ground(), 'AAAAA-AAAAA', first)).toMatchObject({ code: 'wrong-code' });
    const answer = await setUp!.make(ground(), setUp!.code.toLowerCase(), first);
    if (!answer.ok) throw new Error(answer.says);
    officer = answer.value.id;
    // The code is spent with the first account, for whoever still has it.
    const second = { ...first, login: 'other' };
    expect(await setUp!.make(ground(), setUp!.code, second)).toMatchObject({
      code: 'set-up-before',
    });
    expect(await SetUp.ifNeeded(server.database.rows)).toBeNull();
  });
  afterAll(async () => {
    await server.close();
    await place.remove();
  });

  test('name and password let in; anything else does not, in the same words', async () => {
    const { rows } = server.database;
    const from = '203.0.113.1';
    const good = await signIn(rows, { login: ' INES ', password: PASSWORD, from }, now());
    expect(good).toMatchObject({ ok: true, value: { account: officer } });
    const wrong = await signIn(rows, { login: 'ines', password: `${PASSWORD}!`, from }, now());
    const nobody = await signIn(rows, { login: 'nobody', password: PASSWORD, from }, now());
    expect(wrong).toMatchObject({ ok: false, status: 403 });
    expect(nobody).toEqual(wrong);
  });

  test.each([
    ['short', 'copper bus bar'],
    ['monotonous', 'aaaaaaaaaaaaaaaaaaaa'],
    ['the name itself', 'weaver weaver weaver'],
  ])('a password that is %s is not taken', async (_, password) => {
    const asked = { login: 'weaver', name: 'W', role: 'reader', password } as const;
    expect(await makeAccount(ground(), asked, officer)).toMatchObject({ code: 'weak-password' });
  });

  test('a session ends by idleness, by age, by leaving, and when its account changes', async () => {
    const { rows } = server.database;
    const id = idOf(await made('dorn', 'reader'));
    const fresh = () => beginSession(rows, id, now());
    const idle = await fresh();
    expect(await sessionOf(rows, idle, now() + 29 * MINUTE)).toMatchObject({ role: 'reader' });
    expect(await sessionOf(rows, idle, now() + 60 * MINUTE)).toBeNull();
    const old = await fresh();
    for (let at = 0; at < 12 * 60; at += 20)
      expect(await sessionOf(rows, old, now() + at * MINUTE)).not.toBeNull();
    expect(await sessionOf(rows, old, now() + 12 * 60 * MINUTE)).toBeNull();
    const left = await fresh();
    await endSession(rows, left);
    expect(await sessionOf(rows, left, now())).toBeNull();
    const changes = [
      () => changeRole(ground(), id, 'dispatcher', officer),
      () => setPassword(ground(), id, 'another four plain words', officer),
      () => disableAccount(ground(), id, officer),
    ];
    for (const change of changes) {
      const held = await fresh();
      expect(await sessionOf(rows, held, now())).not.toBeNull();
      expect(await change()).toMatchObject({ ok: true });
      expect(await sessionOf(rows, held, now())).toBeNull();
    }
    const again = { login: 'dorn', password: 'another four plain words', from: '203.0.113.2' };
    expect(await signIn(rows, again, now())).toMatchObject({ code: 'wrong-sign-in' });
  });

  test('no token stands in the database', async () => {
    const token = await beginSession(server.database.rows, officer, now());
    const stored = await server.database.rows.selectFrom('sessions').select('token_hash').execute();
    const texts = stored.map(({ token_hash }) => Buffer.from(token_hash).toString('base64url'));
    expect(texts).not.toContain(token);
  });

  test('guessing is slowed where it comes from, and the owner is not locked out', async () => {
    const { rows } = server.database;
    const guess = (from: string) => countTry(rows, limitsOf('ines', from), now());
    for (let at = 0; at < 10; at += 1) expect(await guess('198.51.100.1')).toBeNull();
    expect(await guess('198.51.100.1')).toBeGreaterThan(60);
    expect(await guess('198.51.100.2')).toBeNull();
    // One guess at each of many names counts for the place.
    let stopped = 0;
    for (let at = 0; at < 60; at += 1)
      if ((await countTry(rows, limitsOf(`name-${at}`, '198.51.100.3'), now())) !== null)
        stopped += 1;
    expect(stopped).toBe(10);
    expect(await countTry(rows, limitsOf('ines', '198.51.100.1'), now() + 16 * MINUTE)).toBeNull();
  });

  test('the last officer stays', async () => {
    expect(await changeRole(ground(), officer, 'reader', officer)).toMatchObject({
      code: 'last-officer',
    });
    expect(await disableAccount(ground(), officer, officer)).toMatchObject({
      code: 'last-officer',
    });
  });

  test('a passkey lets in once for each question, from the right place, with a finger', async () => {
    const party = partyOf(ORIGIN);
    const passkey = new SoftPasskey(ORIGIN);
    const ines = await person(officer);
    const asked = await offerRegistration(ground(), ines, party);
    const noFinger = passkey.register(asked, { verified: false });
    expect(await addPasskey(ground(), ines, party, noFinger, 'key')).toMatchObject({ ok: false });
    const again = await offerRegistration(ground(), ines, party);
    const registered = passkey.register(again);
    expect(await addPasskey(ground(), ines, party, registered, 'key')).toMatchObject({ ok: true });

    const question = () => offerSignIn(ground(), party);
    const good = passkey.answer(await question());
    expect(await signInWithPasskey(ground(), party, good)).toMatchObject({
      ok: true,
      value: { account: officer },
    });
    expect(await signInWithPasskey(ground(), party, good)).toMatchObject({ code: 'bad-passkey' });
    const odd = [
      { origin: 'https://records.example.evil.example' },
      { host: 'evil.example' },
      { verified: false },
      { counter: 1 },
    ];
    for (const one of odd) {
      const answer = passkey.answer(await question(), one);
      expect(await signInWithPasskey(ground(), party, answer)).toMatchObject({
        code: 'bad-passkey',
      });
    }
    // A question that was asked for another purpose, or too long ago.
    const other = passkey.answer(await offerRegistration(ground(), ines, party));
    expect(await signInWithPasskey(ground(), party, other)).toMatchObject({ ok: false });
    const late = passkey.answer(await question());
    server.clock.now += 6 * MINUTE;
    expect(await signInWithPasskey(ground(), party, late)).toMatchObject({ ok: false });
  });

  test('every act of the office is in the tree, without a name', async () => {
    const { rows } = server.database;
    const acts = await rows.selectFrom('leaves').select(['type', 'line']).execute();
    const types = new Set(acts.map(({ type }) => type));
    for (const type of ['account.made', 'account.roleChanged', 'account.passkeyAdded'])
      expect(types).toContain(type);
    const all = acts.map(({ line }) => Buffer.from(line).toString()).join('\n');
    expect(all).not.toMatch(/ines|dorn|Vahl/i);
    const { publicKey } = server.log.key;
    const report = await fsck({ rows, publicKey, outside: null, held: [] });
    expect(report.ok).toBe(true);
  });
});
