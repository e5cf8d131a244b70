/** The primitives of the record on Web Cryptography, for the browser and its workers. */
import type { HashName, HashStream, Primitives, Signer } from '#lib/core/record/primitives.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import { thumbprintOf } from '#lib/core/record/thumbprint.ts';

/** Web Cryptography hashes only what it holds whole; beyond this the pure running hash takes over. */
const HELD_BYTES = 16 * 1024 * 1024;
const NAMES = { sha256: 'SHA-256', sha512: 'SHA-512' } as const;

const imported = new WeakMap<Uint8Array, Promise<CryptoKey>>();

/** WebCrypto takes only views of unshared memory, which every array of ours is. */
const plain = (bytes: Uint8Array): Uint8Array<ArrayBuffer> => bytes as Uint8Array<ArrayBuffer>;

export const webPrimitives: Primitives = {
  // Awaited one by one, the platform's hash is twenty times slower than plain arithmetic.
  sha256: purePrimitives.sha256,
  hashStream,
  async verify(publicKey, message, signature) {
    let key = imported.get(publicKey);
    if (key === undefined) {
      key = crypto.subtle.importKey('raw', plain(publicKey), 'Ed25519', false, ['verify']);
      imported.set(publicKey, key);
    }
    return crypto.subtle.verify('Ed25519', await key, plain(signature), plain(message));
  },
};

function hashStream(name: HashName): HashStream {
  let held: Uint8Array[] = [];
  let size = 0;
  let running: HashStream | null = null;
  return {
    update(bytes) {
      size += bytes.length;
      if (running !== null) return running.update(bytes);
      held.push(bytes.slice());
      if (size <= HELD_BYTES) return;
      running = purePrimitives.hashStream(name);
      for (const part of held) running.update(part);
      held = [];
    },
    async digest() {
      if (running !== null) return running.digest();
      const whole = await new Blob(held.map(plain)).arrayBuffer();
      return new Uint8Array(await crypto.subtle.digest(NAMES[name], whole));
    },
  };
}

/** The signer of a device key, whose private half never leaves the browser's keeping. */
export async function webSigner(pair: CryptoKeyPair): Promise<Signer & { publicKey: Uint8Array }> {
  const publicKey = new Uint8Array(await crypto.subtle.exportKey('raw', pair.publicKey));
  return {
    key: thumbprintOf(publicKey, purePrimitives),
    publicKey,
    async sign(message) {
      const made = await crypto.subtle.sign('Ed25519', pair.privateKey, plain(message));
      return new Uint8Array(made);
    },
  };
}
