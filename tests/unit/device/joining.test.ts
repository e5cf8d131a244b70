import { beforeEach, describe, expect, test, vi } from 'vitest';
import type { KnownKey } from '#lib/core/bag/keys.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { joinCode, joiningFault } from '#lib/core/record/index.ts';
import { Connection } from '#lib/device/connection.ts';
import {
  answerCode,
  checkAnswer,
  endInvitation,
  invite,
  leaveAnswer,
  readAnswer,
  shownFor,
  waitingAnswer,
} from '#lib/device/joining.ts';
import { enrol, publicKeys, signerOf } from '#lib/device/keys.ts';
import { enrolWithPin, isShut, keepHandOpen, openHand, shutHand } from '#lib/device/pin-hands.ts';
import { countTry } from '#lib/device/pins.ts';
import type { Recorded } from '#lib/device/read-job.ts';
import { done } from '#lib/device/trouble.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { webPrimitives } from '#lib/crypto/web.ts';
import { emptyDevice, JOB, must, OTHER_JOB } from '../../support/fresh-store.ts';
import { freshDevice, openedJob } from '../../support/lamp-job.ts';

const BO = { id: 'bo', name: 'Bo Castell', competence: ['gas'] };
const AT = Date.parse('2026-11-25T10:42:00Z');
const later = (minutes: number) => AT + minutes * 60_000;

/** A device of its own in the same process. */
async function aDevice(): Promise<Connection> {
  emptyDevice();
  return must(await Connection.open());
}

let lead: Connection;
beforeEach(async () => {
  lead = await aDevice();
});

describe('a PIN', () => {
  const pin = { enrolledBy: 'mara', pin: '2580' };

  test('opens the key of its person for one act, and no other does', async () => {
    must(await enrolWithPin(lead, BO, pin));
    expect(await isShut(lead, 'bo')).toBe(false);
    must(await shutHand(lead, 'bo'));
    expect(await isShut(lead, 'bo')).toBe(true);
    expect(await signerOf(lead, 'bo')).toMatchObject({ trouble: { code: 'pin-needed' } });
    expect(must(await openHand(lead, 'bo', '2581'))).toEqual({ is: 'wrong' });
    expect(await isShut(lead, 'bo')).toBe(true);
    expect(must(await openHand(lead, 'bo', '2580'))).toEqual({ is: 'open' });
    expect(must(await signerOf(lead, 'bo')).key).toBe(must(await publicKeys(lead))[0]?.thumbprint);
  });

  test('keeps no private half in the clear, and none that can be taken out', async () => {
    must(await enrolWithPin(lead, BO, pin));
    const row = must(
      await lead.read(['keys'], async (tx) => done((await tx.objectStore('keys').getAll())[0])),
    );
    expect(row?.privateKey).toBeUndefined();
    // A wrapped PKCS #8 of Ed25519 is 48 bytes (RFC 8410 section 7) and the 16 of the tag of AES-GCM.
    expect(row?.sealed?.wrapped.byteLength).toBe(64);
    must(await keepHandOpen(lead, 'bo'));
    const held = must(
      await lead.read(['settings'], async (tx) =>
        done(await tx.objectStore('settings').get(`hand/${row?.thumbprint ?? ''}`)),
      ),
    ) as CryptoKey;
    expect(held.extractable).toBe(false);
  });

  test('is not asked of who holds the device after the page was loaded again', async () => {
    must(await enrolWithPin(lead, BO, pin));
    expect(await isShut(must(await Connection.open()), 'bo')).toBe(true);
    must(await keepHandOpen(lead, 'bo'));
    const again = must(await Connection.open());
    expect(await isShut(again, 'bo')).toBe(false);
    must(await shutHand(again, 'bo'));
    expect(await isShut(must(await Connection.open()), 'bo')).toBe(true);
  });

  test('cannot be guessed at leisure: after five wrong ones none is looked at for a while', async () => {
    must(await enrolWithPin(lead, BO, pin));
    must(await shutHand(lead, 'bo'));
    vi.useFakeTimers({ now: AT, toFake: ['Date'] });
    try {
      const key = must(await publicKeys(lead))[0]?.thumbprint ?? '';
      for (let at = 0; at < 5; at += 1) must(await countTry(lead, key, false, AT));
      expect(must(await openHand(lead, 'bo', '2580'))).toEqual({ is: 'wait', ms: 30_000 });
      vi.setSystemTime(later(0.5));
      expect(must(await openHand(lead, 'bo', '0000'))).toEqual({ is: 'wrong' });
      expect(must(await openHand(lead, 'bo', '2580'))).toEqual({ is: 'wait', ms: 60_000 });
      vi.setSystemTime(later(2));
      expect(must(await openHand(lead, 'bo', '2580'))).toEqual({ is: 'open' });
      must(await shutHand(lead, 'bo'));
      expect(must(await openHand(lead, 'bo', '0000'))).toEqual({ is: 'wrong' });
      expect(must(await openHand(lead, 'bo', '2580'))).toEqual({ is: 'open' });
    } finally {
      vi.useRealTimers();
    }
  });

  test('takes no name that has a key here', async () => {
    const had = must(await enrol(lead, BO, 'bo'));
    expect(await enrolWithPin(lead, BO, pin)).toMatchObject({ trouble: { code: 'no-key' } });
    expect(must(await publicKeys(lead))).toEqual([had]);
  });
});

describe('an answer to a code', () => {
  const check = (said: string, now = later(1), entries: readonly Recorded[] = [], job = JOB) =>
    checkAnswer(lead, job, said, { entries, now }).then(must);

  async function answered(code: string): Promise<string> {
    const phone = await aDevice();
    must(await enrol(phone, BO, 'bo'));
    return must(await answerCode(phone, BO, code));
  }

  test('is taken with the key that was made for it, and stands for a verifier', async () => {
    const { code } = must(await invite(lead, JOB, AT));
    const said = await answered(code);
    const taken = await check(`https://crew.example/jobs/join#answer=${said}`);
    if (typeof taken === 'string') throw new Error(taken);
    expect(taken.joiner).toEqual(BO);
    const key = must(
      await enrolWithPin(lead, BO, { enrolledBy: 'mara', pin: '2580', pair: taken.pair }),
    );
    const { how } = taken;
    const joining = { job: JOB, hand: key.thumbprint, person: 'bo', how, at: how.until };
    expect(await joiningFault(joining, nodePrimitives)).toBeNull();
    must(await endInvitation(lead, JOB));
    expect(must(await shownFor(lead, JOB, AT))).toBeNull();

    // Once more: the record tells that this code has let somebody in.
    const entry = { job: JOB, key: key.thumbprint };
    const body = { person: 'bo', competence: [], hand: { by: 'code', ...how } };
    const told = {
      sealed: { entry },
      event: { type: 'person.joined', body },
    } as unknown as Recorded;
    expect(await check(said, later(2), [told])).toBe('used');
    expect(await check(said)).toBe('other');
  });

  test('is refused too late, for another code, another job, or changed on its way', async () => {
    const { code, until } = must(await invite(lead, JOB, AT));
    expect(Date.parse(until) - AT).toBe(600_000);
    const said = await answered(code);
    expect(await check(said, later(10))).toMatchObject({ joiner: BO });
    expect(await check(said, later(10.1))).toBe('late');
    expect(await check(said, later(1), [], OTHER_JOB)).toBe('other');
    const read = readAnswer(said);
    const changed = Buffer.from(JSON.stringify({ ...read, person: 'al' })).toString('base64url');
    expect(await check(changed)).toBe('signature');
    expect(await check('https://crew.example/jobs/join#answer=AAAA')).toBe('unreadable');
    expect(await check('')).toBe('unreadable');
    must(await invite(lead, JOB, later(1)));
    expect(await check(said)).toBe('other');
  });

  test('is left by another page for the job that shows its code', async () => {
    must(await invite(lead, OTHER_JOB, AT));
    const { code } = must(await invite(lead, JOB, AT));
    const said = await answered(code);
    expect(must(await leaveAnswer(lead, said))).toBe(JOB);
    expect(must(await waitingAnswer(lead, JOB))).toBe(said);
    expect(must(await waitingAnswer(lead, OTHER_JOB))).toBeNull();
    must(await invite(lead, JOB, AT));
    expect(must(await waitingAnswer(lead, JOB))).toBeNull();
    expect(must(await leaveAnswer(lead, said))).toBeNull();
    expect(must(await leaveAnswer(lead, 'nothing'))).toBeNull();
  });

  test('stands in a bag, whose verifier finds the key of the other device behind the one here', async () => {
    const phone = await aDevice();
    const own = must(await enrol(phone, BO, 'bo'));
    const device = await freshDevice();
    const session = await openedJob(device);
    const { connection } = device;
    const { code } = must(await invite(connection, session.job, Date.now()));
    const said = must(await answerCode(phone, BO, code));
    const { entries } = session;
    const taken = must(
      await checkAnswer(connection, session.job, said, { entries, now: Date.now() }),
    );
    if (typeof taken === 'string') throw new Error(taken);
    const { pair, how } = taken;
    must(await device.enrolWithPin(BO, { enrolledBy: 'mara', pin: '2580', pair }));
    const hand = { by: 'code', ...how } as const;
    const joined = await session.submit({ command: 'join', person: BO, hand }, { by: 'bo' });
    expect(joined).toMatchObject({ accepted: true });
    session.close();
    const bag = must(await device.exportJob(session.job, { by: 'mara' }));
    const mara = must(await publicKeys(connection)).find(({ person }) => person === 'mara');
    const trusted = [own, ...(mara === undefined ? [] : [mara])].map(
      ({ thumbprint: key, ...rest }): KnownKey => ({ ...rest, key, use: 'entries' }),
    );
    const trust = { keys: trusted, logs: [], authorities: [] };
    const bytes = new Uint8Array(await bag.blob.arrayBuffer());
    const { checks, findings } = await verifyBag(bytes, trust, webPrimitives);
    // The job is still open; nothing else is wrong with it.
    expect(checks.filter(({ status }) => status === 'failed').map(({ id }) => id)).toEqual([
      'record.end',
    ]);
    expect(findings.map((each) => each.code)).toContain('key-vouched');
  });

  test('every code is another one', async () => {
    const codes = [must(await invite(lead, JOB, AT)), must(await invite(lead, JOB, AT))];
    expect(codes[0]?.code).not.toBe(codes[1]?.code);
    expect(must(await shownFor(lead, JOB, later(9)))?.code).toBe(codes[1]?.code);
    expect(must(await shownFor(lead, JOB, later(11)))).toBeNull();
    expect(joinCode({ job: JOB, hand: '', nonce: '', until: '' }, nodePrimitives)).toHaveLength(12);
  });
});
