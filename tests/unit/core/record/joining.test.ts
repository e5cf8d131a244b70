import { createHash, verify, createPublicKey } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { base64url } from '#lib/core/record/bytes.ts';
import {
  joinCode,
  joiningFault,
  joiningMessage,
  plainJoinCode,
  spacedJoinCode,
} from '#lib/core/record/joining.ts';
import type { Joining, SignedJoining } from '#lib/core/record/joining.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { aJobId, maraKey, tomasKey } from '../../../support/a-record.ts';

const invitation = {
  job: aJobId,
  hand: maraKey.key,
  nonce: base64url(new Uint8Array(16).fill(5)),
  until: '2026-11-25T10:52:00.000-05:00',
};
const code = joinCode(invitation, nodePrimitives);
const sign = (of = code, person = 'tomas') =>
  base64url(tomasKey.sign(joiningMessage({ code: of, key: tomasKey.key, person })) as Uint8Array);
const how = (more: Partial<SignedJoining> = {}): SignedJoining => ({
  own: base64url(tomasKey.publicKey),
  nonce: invitation.nonce,
  until: invitation.until,
  signature: sign(),
  ...more,
});
const fault = (more: Partial<Joining> = {}) =>
  joiningFault(
    {
      job: aJobId,
      hand: maraKey.key,
      person: 'tomas',
      how: how(),
      at: '2026-11-25T10:45:00.000-05:00',
      ...more,
    },
    nodePrimitives,
  );

describe('the code', () => {
  test('is the beginning of a SHA-256 over what it is good for, in Crockford’s base 32', () => {
    // The hash by the platform, over DSSE v1 encoding written out by hand; the letters as
    // https://www.crockford.com/base32.html lists them.
    const { hand, job, nonce, until } = invitation;
    const body = `{"hand":"${hand}","job":"${job}","nonce":"${nonce}","until":"${until}"}`;
    const type = 'application/vnd.stillwire.invitation.v1+json';
    const message = `DSSEv1 ${type.length} ${type} ${body.length} ${body}`;
    const bits = createHash('sha256')
      .update(message)
      .digest()
      .reduce((text, byte) => text + byte.toString(2).padStart(8, '0'), '');
    const letters = Array.from({ length: 11 }, (_, at) =>
      '0123456789ABCDEFGHJKMNPQRSTVWXYZ'.charAt(parseInt(bits.slice(at * 5, at * 5 + 5), 2)),
    );
    expect(code.slice(0, 11)).toBe(letters.join(''));
    expect(code).toHaveLength(12);
  });

  test('is read however it is typed, and a wrong letter shows', () => {
    const typed = spacedJoinCode(code).toLowerCase().replaceAll('0', 'o').replaceAll('1', 'l');
    expect(plainJoinCode(` ${typed} `)).toBe(code);
    for (let at = 0; at < code.length; at += 1) {
      const other = code[at] === '7' ? '8' : '7';
      expect(plainJoinCode(code.slice(0, at) + other + code.slice(at + 1))).toBeNull();
    }
    expect(plainJoinCode(code.slice(1))).toBeNull();
    expect(plainJoinCode(`${code.slice(0, 11)}U`)).toBeNull();
    expect(plainJoinCode('')).toBeNull();
  });

  test('is another one for another job, key, nonce or time', () => {
    const others = [
      { ...invitation, job: aJobId.replace('0', '1') },
      { ...invitation, hand: tomasKey.key },
      { ...invitation, nonce: base64url(new Uint8Array(16)) },
      { ...invitation, until: '2026-11-25T10:53:00.000-05:00' },
    ].map((one) => joinCode(one, nodePrimitives));
    expect(new Set([code, ...others]).size).toBe(5);
  });
});

describe('a joining', () => {
  test('stands when the own key has signed, as the platform also says', async () => {
    expect(await fault()).toBeNull();
    const x = base64url(tomasKey.publicKey);
    const key = createPublicKey({ key: { kty: 'OKP', crv: 'Ed25519', x }, format: 'jwk' });
    const message = joiningMessage({ code, key: tomasKey.key, person: 'tomas' });
    expect(verify(null, message, key, Buffer.from(how().signature, 'base64url'))).toBe(true);
  });

  test.each<[string, Partial<Joining>]>([
    ['for another job', { job: aJobId.replace('0', '1') }],
    ['for another key on the device of the job', { hand: tomasKey.key }],
    ['by another person', { person: 'ode' }],
    ['with another nonce', { how: how({ nonce: base64url(new Uint8Array(16)) }) }],
    ['with a key that did not sign', { how: how({ own: base64url(maraKey.publicKey) }) }],
    ['with a code put off', { how: how({ until: '2026-11-25T10:54:00.000-05:00' }) }],
    ['of another code', { how: how({ signature: sign('0'.repeat(12)) }) }],
  ])('does not stand %s', async (_, more) => {
    expect(await fault(more)).toBe('signature');
  });

  test.each<[string, string, Partial<Joining>]>([
    ['after the code ran out', 'late', { at: '2026-11-25T10:52:00.001-05:00' }],
    ['before it can have been shown', 'late', { at: '2026-11-25T10:41:59.999-05:00' }],
    ['with a key that is short', 'form', { how: how({ own: 'AAAA' }) }],
    ['with a key of small order', 'form', { how: how({ own: base64url(new Uint8Array(32)) }) }],
    ['with half a signature', 'form', { how: how({ signature: sign().slice(0, 40) }) }],
    ['with a short nonce', 'form', { how: how({ nonce: 'AAAA' }) }],
    ['with no time', 'form', { how: how({ until: 'soon' }) }],
  ])('does not stand %s', async (_, says, more) => {
    expect(await fault(more)).toBe(says);
  });

  test('stands to the last millisecond, and from the first', async () => {
    expect(await fault({ at: '2026-11-25T10:52:00.000-05:00' })).toBeNull();
    expect(await fault({ at: '2026-11-25T10:42:00.000-05:00' })).toBeNull();
  });
});
