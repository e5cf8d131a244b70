/** The name of a key: its JWK thumbprint (RFC 7638), for Ed25519 as in RFC 8037 appendix A.3. */
import { base64url, utf8 } from './bytes.ts';
import type { Primitives } from './primitives.ts';

/** 43 characters of Base 64 without padding: the SHA-256 of the canonical JWK of a 32-byte key. */
export function thumbprintOf(
  publicKey: Uint8Array,
  primitives: Pick<Primitives, 'sha256'>,
): string {
  const jwk = `{"crv":"Ed25519","kty":"OKP","x":"${base64url(publicKey)}"}`;
  return base64url(primitives.sha256(utf8(jwk)));
}

export function isThumbprint(text: string): boolean {
  return /^[A-Za-z0-9_-]{42}[AEIMQUYcgkosw048]$/.test(text);
}
