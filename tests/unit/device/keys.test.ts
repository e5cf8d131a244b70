import { webcrypto } from 'node:crypto';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { checkedKey, utf8 } from '#lib/core/record/index.ts';
import { Connection } from '#lib/device/connection.ts';
import { enrol, publicKeys, signerOf } from '#lib/device/keys.ts';
import { done } from '#lib/device/trouble.ts';
import { emptyDevice, must } from '../../support/fresh-store.ts';

let connection: Connection;
beforeEach(async () => {
  emptyDevice();
  connection = must(await Connection.open());
});
afterEach(() => vi.unstubAllGlobals());

const MARA = { id: 'mara', name: 'Mara Quill', competence: ['electrical'] };

test('a person gets one key, and keeps it', async () => {
  const first = must(await enrol(connection, MARA, 'mara'));
  const again = must(await enrol(connection, { ...MARA, name: 'Mara Quill-Sand' }, 'ode'));
  expect(again).toEqual(first);
  expect(checkedKey(first.publicKey).ok).toBe(true);
  expect(must(await publicKeys(connection))).toEqual([first]);
  expect(first).toMatchObject({ person: 'mara', enrolledBy: 'mara' });
});

test('two tabs that enrol one person at once end with one key', async () => {
  const other = must(await Connection.open());
  const made = await Promise.all([enrol(connection, MARA, 'mara'), enrol(other, MARA, 'mara')]);
  expect(must(made[0])).toEqual(must(made[1]));
  expect(must(await publicKeys(connection))).toHaveLength(1);
});

test('the name of a key is its RFC 7638 thumbprint, and its signature stands elsewhere', async () => {
  const key = must(await enrol(connection, MARA, 'mara'));
  // Thumbprint and check by the platform, not by this program: RFC 7638 section 3, RFC 8037 section 2.
  const raw = key.publicKey.slice();
  const imported = await webcrypto.subtle.importKey('raw', raw, 'Ed25519', true, ['verify']);
  const { crv, kty, x } = await webcrypto.subtle.exportKey('jwk', imported);
  const text = `{"crv":"${crv}","kty":"${kty}","x":"${x}"}`;
  const hash = await webcrypto.subtle.digest('SHA-256', utf8(text).slice());
  expect(key.thumbprint).toBe(Buffer.from(hash).toString('base64url'));

  const signer = must(await signerOf(connection, 'mara'));
  const message = utf8('proved dead at 10:42').slice();
  const signature = (await signer.sign(message)).slice();
  expect(await webcrypto.subtle.verify('Ed25519', imported, signature, message)).toBe(true);
});

test('the private half cannot be taken out of the store', async () => {
  must(await enrol(connection, MARA, 'mara'));
  const row = must(
    await connection.read(['keys'], async (tx) => done((await tx.objectStore('keys').getAll())[0])),
  );
  expect(row?.privateKey?.extractable).toBe(false);
  if (row?.privateKey === undefined) return;
  await expect(crypto.subtle.exportKey('pkcs8', row.privateKey)).rejects.toThrow();
});

test('who has no key here cannot sign, and is told so', async () => {
  expect(await signerOf(connection, 'rui')).toMatchObject({ trouble: { code: 'no-key' } });
});

test('a browser without Ed25519 is a sentence, and nobody is half enrolled', async () => {
  vi.stubGlobal('crypto', {
    subtle: { generateKey: () => Promise.reject(new DOMException('', 'NotSupportedError')) },
  });
  expect(await enrol(connection, MARA, 'mara')).toMatchObject({ trouble: { code: 'no-crypto' } });
  expect(must(await publicKeys(connection))).toEqual([]);
});
