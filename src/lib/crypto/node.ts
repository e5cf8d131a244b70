/** The primitives of the record on Node's own cryptography: quickest for the command line and server. */
import {
  createHash,
  createPrivateKey,
  createPublicKey,
  generateKeyPairSync,
  hash,
  sign,
  verify,
} from 'node:crypto';
import type { KeyObject } from 'node:crypto';
import { crc32 } from 'node:zlib';
import { base64url, fromBase64url } from '#lib/core/record/bytes.ts';
import type { Primitives, Signer } from '#lib/core/record/primitives.ts';
import { thumbprintOf } from '#lib/core/record/thumbprint.ts';

/** Reading a key costs a fifth of a signature check, and a bag uses few keys many times. */
const imported = new WeakMap<Uint8Array, KeyObject>();

/** A Buffer's `slice` shares memory where an array's copies: only plain arrays leave this room. */
const plain = ({ buffer, byteOffset, length }: Buffer): Uint8Array =>
  new Uint8Array(buffer, byteOffset, length);

export const nodePrimitives: Primitives = {
  sha256: (bytes) => plain(hash('sha256', bytes, 'buffer')),
  sha256Hex: (bytes) => hash('sha256', bytes, 'hex'),
  hashStream(name) {
    const running = createHash(name);
    return { update: (bytes) => void running.update(bytes), digest: () => plain(running.digest()) };
  },
  verify: (publicKey, message, signature) =>
    verify(null, message, importedKey(publicKey), signature),
  crc32: (bytes, from) => crc32(bytes, from),
};

/** The same, with each signature checked beside the thread that asks: for many at once. */
export const pooledPrimitives: Primitives = {
  ...nodePrimitives,
  verify: (publicKey, message, signature) =>
    new Promise((settle, fail) => {
      const key = importedKey(publicKey);
      verify(null, message, key, signature, (error, stands) => {
        if (error === null) settle(stands);
        else fail(error);
      });
    }),
};

function importedKey(publicKey: Uint8Array): KeyObject {
  const known = imported.get(publicKey);
  if (known !== undefined) return known;
  const key = publicKeyOf(publicKey);
  imported.set(publicKey, key);
  return key;
}

function publicKeyOf(publicKey: Uint8Array): KeyObject {
  const jwk = { kty: 'OKP', crv: 'Ed25519', x: base64url(publicKey) };
  return createPublicKey({ key: jwk, format: 'jwk' });
}

/** A key pair in this process: its public half, and the signer. */
export interface NodeKey extends Signer {
  readonly publicKey: Uint8Array;
}

function signerOf(privateKey: KeyObject): NodeKey {
  const publicKey = fromBase64url(createPublicKey(privateKey).export({ format: 'jwk' }).x ?? '');
  if (publicKey === null) throw new Error('Node exported an Ed25519 key that is not Base 64.');
  const key = thumbprintOf(publicKey, nodePrimitives);
  return { key, publicKey, sign: (message) => plain(sign(null, message, privateKey)) };
}

/** A new key that lives only as long as this process. */
export function throwAwayKey(): NodeKey {
  return signerOf(generateKeyPairSync('ed25519').privateKey);
}

/** The key of a 32-byte private seed (RFC 8032 section 5.1.5). */
export function keyOfSeed(seed: Uint8Array): NodeKey {
  // PKCS #8 of an Ed25519 key is this fixed head and the seed (RFC 8410 section 7).
  const head = Uint8Array.fromHex('302e020100300506032b657004220420');
  return signerOf(
    createPrivateKey({ key: Buffer.concat([head, seed]), format: 'der', type: 'pkcs8' }),
  );
}
