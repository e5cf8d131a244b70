/**
 * The port through which the record reaches cryptography: hashing and one signature check.
 *
 * Strictness (which keys and signatures are acceptable at all) is ours, in `ed25519.ts`; what stands
 * behind this port only does the arithmetic, so that the verdict never depends on the platform.
 */

export interface HashStream {
  update(bytes: Uint8Array): void;
  digest(): Uint8Array | Promise<Uint8Array>;
}

export type HashName = 'sha256' | 'sha512';

export interface Primitives {
  /** SHA-256 (FIPS 180-4) of the bytes, 32 bytes. */
  sha256(bytes: Uint8Array): Uint8Array;
  /** The same as lower-case hex, where the platform gives that quicker. */
  sha256Hex?(bytes: Uint8Array): string;
  /** A running hash for what does not fit in memory. */
  hashStream(name: HashName): HashStream;
  /**
   * Ed25519 (RFC 8032 section 5.1.7) without the cofactor: true when [S]B - [k]A encodes to R.
   * Called only with a key and a signature that passed `keyFlaw` and `signatureFlaw`.
   */
  verify(
    publicKey: Uint8Array,
    message: Uint8Array,
    signature: Uint8Array,
  ): boolean | Promise<boolean>;
  /** CRC-32 (ISO 3309, the one of ZIP) going on from an earlier value; a plain one is used if absent. */
  crc32?(bytes: Uint8Array, from: number): number;
}

/** Who signs: the thumbprint of the key, and the act of signing with it. */
export interface Signer {
  /** RFC 7638 thumbprint of the public key, 43 characters. */
  readonly key: string;
  /** 64 bytes, Ed25519 over the message. */
  sign(message: Uint8Array): Uint8Array | Promise<Uint8Array>;
}
