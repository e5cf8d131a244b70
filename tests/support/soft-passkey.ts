/**
 * An authenticator in software, for the tests of passkeys: ES256, "none" attestation, as W3C Web
 * Authentication level 3, sections 6.1 and 6.5, lay the bytes out. It can be told to misbehave.
 */
import { createHash, generateKeyPairSync, randomBytes, sign } from 'node:crypto';
import type { KeyObject } from 'node:crypto';
import type { AuthenticationResponseJSON, RegistrationResponseJSON } from '@simplewebauthn/server';
import { isoCBOR } from '@simplewebauthn/server/helpers';

export interface Odd {
  readonly origin?: string;
  readonly host?: string;
  /** Whether a finger or a PIN was asked for. */
  readonly verified?: boolean;
  readonly counter?: number;
}

const PRESENT = 0x01;
const VERIFIED = 0x04;
const NEW_KEY = 0x40;

export class SoftPasskey {
  readonly id = randomBytes(16);
  readonly #key: KeyObject;
  readonly #publicKey: Uint8Array;
  readonly #origin: string;
  #handle = '';
  #counter = 0;

  constructor(origin: string) {
    this.#origin = origin;
    const { privateKey, publicKey } = generateKeyPairSync('ec', { namedCurve: 'P-256' });
    this.#key = privateKey;
    const { x = '', y = '' } = publicKey.export({ format: 'jwk' });
    // COSE: kty EC2, alg ES256, crv P-256 (RFC 9053).
    this.#publicKey = isoCBOR.encode(
      new Map<number, number | Uint8Array>([
        [1, 2],
        [3, -7],
        [-1, 1],
        [-2, new Uint8Array(Buffer.from(x, 'base64url'))],
        [-3, new Uint8Array(Buffer.from(y, 'base64url'))],
      ]),
    );
  }

  register(
    options: { readonly challenge: string; readonly user: { readonly id: string } },
    odd: Odd = {},
  ): RegistrationResponseJSON {
    this.#handle = options.user.id;
    const length = Buffer.alloc(2);
    length.writeUInt16BE(this.id.length);
    const credential = Buffer.concat([Buffer.alloc(16), length, this.id, this.#publicKey]);
    const authData = Buffer.concat([this.#authData(odd, NEW_KEY), credential]);
    const attestation = isoCBOR.encode(
      new Map<string, unknown>([
        ['fmt', 'none'],
        ['attStmt', new Map()],
        ['authData', new Uint8Array(authData)],
      ]) as never,
    );
    return {
      ...this.#shared(),
      response: {
        clientDataJSON: this.#clientData('webauthn.create', options.challenge, odd),
        attestationObject: Buffer.from(attestation).toString('base64url'),
      },
    };
  }

  answer(options: { readonly challenge: string }, odd: Odd = {}): AuthenticationResponseJSON {
    this.#counter += 1;
    const authData = this.#authData(odd, 0);
    const clientDataJSON = this.#clientData('webauthn.get', options.challenge, odd);
    const hash = createHash('sha256').update(Buffer.from(clientDataJSON, 'base64url')).digest();
    const signature = sign('sha256', Buffer.concat([authData, hash]), this.#key);
    return {
      ...this.#shared(),
      response: {
        clientDataJSON,
        authenticatorData: authData.toString('base64url'),
        signature: signature.toString('base64url'),
        userHandle: this.#handle,
      },
    };
  }

  #shared() {
    const id = this.id.toString('base64url');
    return { id, rawId: id, type: 'public-key' as const, clientExtensionResults: {} };
  }

  #authData({ host, verified = true, counter }: Odd, more: number): Buffer {
    const party = host ?? new URL(this.#origin).hostname;
    const flags = PRESENT | (verified ? VERIFIED : 0) | more;
    const count = Buffer.alloc(4);
    count.writeUInt32BE(counter ?? this.#counter);
    return Buffer.concat([createHash('sha256').update(party).digest(), Buffer.of(flags), count]);
  }

  #clientData(type: string, challenge: string, { origin }: Odd): string {
    const data = { type, challenge, origin: origin ?? this.#origin, crossOrigin: false };
    return Buffer.from(JSON.stringify(data)).toString('base64url');
  }
}
