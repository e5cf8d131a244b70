/**
 * RFC 3161 time-stamps: asking for one, and checking one against trusted authorities.
 *
 * Judged at the time that the token itself names, never by the clock of whoever checks: a record must
 * read the same in twenty years, when every certificate in it has ended.
 */
import { Integer, Null, OctetString } from 'asn1js';
import * as pki from 'pkijs';
import type { TokenCheck } from '#lib/core/bag/checks/witnesses.ts';
import { sameBytes } from '#lib/core/record/bytes.ts';
import { flawed, good } from '#lib/core/record/outcome.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';

const SHA256 = '2.16.840.1.101.3.4.2.1';
const TST_INFO = '1.2.840.113549.1.9.16.1.4';
const EXTENDED_KEY_USAGE = '2.5.29.37';
const TIME_STAMPING = '1.3.6.1.5.5.7.3.8';

const plain = (bytes: Uint8Array): ArrayBuffer => bytes.slice().buffer;

/**
 * The bytes to post to an authority as `application/timestamp-query`.
 * @param nonce random bytes that the answer must repeat; 8 are usual
 */
export function timestampRequest(data: Uint8Array, nonce: Uint8Array): Uint8Array {
  const algorithmParams = new Null();
  const hashAlgorithm = new pki.AlgorithmIdentifier({ algorithmId: SHA256, algorithmParams });
  const hashedMessage = new OctetString({ valueHex: plain(purePrimitives.sha256(data)) });
  const valueHex = plain(positive(nonce));
  const request = new pki.TimeStampReq({
    version: 1,
    messageImprint: new pki.MessageImprint({ hashAlgorithm, hashedMessage }),
    nonce: new Integer({ valueHex }),
    certReq: true,
  });
  return new Uint8Array(request.toSchema().toBER());
}

/** The shortest two's complement of these bytes as a number above zero, the only form that DER has. */
function positive(bytes: Uint8Array): Uint8Array {
  const from = bytes.findIndex((byte) => byte !== 0);
  const short = from === -1 ? new Uint8Array([0]) : bytes.subarray(from);
  return (short[0] ?? 0) < 0x80 ? short : new Uint8Array([0, ...short]);
}

const no = (says: string): ReturnType<typeof flawed> => flawed('bad-proof', says);

/** Untrusted: the token. Whatever it makes the library throw is a token that proves nothing. */
export const checkTimestamp: TokenCheck = async (token, data, authorities) => {
  try {
    return await checked(token, data, authorities);
  } catch {
    return no('The time-stamp is not one that RFC 3161 describes, or is broken.');
  }
};

const checked: TokenCheck = async (token, data, authorities) => {
  const response = pki.TimeStampResp.fromBER(plain(token));
  if (response.status.status > 1 || response.timeStampToken === undefined) {
    return no('The authority refused to give this time-stamp.');
  }
  const signed = new pki.SignedData({ schema: response.timeStampToken.content });
  const content = signed.encapContentInfo.eContent?.getValue();
  if (signed.encapContentInfo.eContentType !== TST_INFO || content === undefined) {
    return no('What was signed is not a time-stamp.');
  }
  const info = pki.TSTInfo.fromBER(content);
  const { hashAlgorithm, hashedMessage } = info.messageImprint;
  if (hashAlgorithm.algorithmId !== SHA256)
    return no('The time-stamp is not over a SHA-256 digest.');
  const imprint = new Uint8Array(hashedMessage.valueBlock.valueHexView);
  if (!sameBytes(imprint, purePrimitives.sha256(data))) {
    return no('The time-stamp was made over other bytes.');
  }
  const signer = await signerOf(signed, data, info.genTime, authorities);
  if (signer === null) {
    return no('The time-stamp is not signed by an authority that is trusted here.');
  }
  if (!onlyStampsTime(signer)) {
    return no('The certificate that signed the time-stamp is not one for time-stamping alone.');
  }
  return good({ at: info.genTime.toISOString(), authority: nameOf(signer) });
};

/** The certificate under which the signature stands and that leads to a trusted one; null otherwise. */
async function signerOf(
  signed: pki.SignedData,
  data: Uint8Array,
  checkDate: Date,
  authorities: readonly Uint8Array[],
): Promise<pki.Certificate | null> {
  const trustedCerts = authorities.map((der) => pki.Certificate.fromBER(plain(der)));
  try {
    const verdict = await signed.verify({
      signer: 0,
      data: plain(data),
      checkChain: true,
      checkDate,
      trustedCerts,
      extendedMode: true,
    });
    const stands = verdict.signatureVerified === true && verdict.signerCertificateVerified === true;
    return stands ? (verdict.signerCertificate ?? null) : null;
  } catch (error) {
    // The library throws where a chain or a signature does not hold; anything else is not ours to read.
    if (error instanceof pki.SignedDataVerifyError) return null;
    throw error;
  }
}

/** RFC 3161 section 2.3: extended key usage critical, and time-stamping its only purpose. */
function onlyStampsTime(certificate: pki.Certificate): boolean {
  const found = certificate.extensions?.find(({ extnID }) => extnID === EXTENDED_KEY_USAGE);
  const usage: unknown = found?.parsedValue;
  return (
    found?.critical === true &&
    usage instanceof pki.ExtKeyUsage &&
    usage.keyPurposes.length === 1 &&
    usage.keyPurposes[0] === TIME_STAMPING
  );
}

function nameOf({ subject }: pki.Certificate): string {
  const common = subject.typesAndValues.find(({ type }) => type === '2.5.4.3');
  return String(common?.value.valueBlock.value ?? 'an authority without a name');
}
