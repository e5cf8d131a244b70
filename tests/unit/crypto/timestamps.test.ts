/** Time-stamps against an authority of OpenSSL's own, made for the test. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as pki from 'pkijs';
import { afterAll, describe, expect, it } from 'vitest';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { joined, utf8 } from '#lib/core/record/bytes.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { checkTimestamp, timestampRequest } from '#lib/crypto/timestamps.ts';
import { lampPieces, packed, trusted } from '../../support/a-bag.ts';

const place = mkdtempSync(join(tmpdir(), 'stillwire-tsa-'));
afterAll(() => rmSync(place, { recursive: true, force: true }));

const has = spawnSync('openssl', ['version']).status === 0;
const title = has ? 'a time-stamp' : 'a time-stamp: skipped, this machine has no openssl';

function openssl(...args: string[]): Buffer {
  const { status, stdout, stderr } = spawnSync('openssl', args, { cwd: place });
  if (status !== 0) throw new Error(stderr.toString());
  return stdout;
}

const CONFIG = `[req]
distinguished_name=dn
prompt=no
[dn]
CN=Test authority
[root]
basicConstraints=critical,CA:true
keyUsage=critical,keyCertSign
[stamp]
basicConstraints=critical,CA:false
keyUsage=critical,digitalSignature
extendedKeyUsage=critical,timeStamping
[mail]
basicConstraints=critical,CA:false
keyUsage=critical,digitalSignature
extendedKeyUsage=critical,timeStamping,emailProtection
[tsa]
default_tsa=one
[one]
dir=.
serial=serial
signer_digest=sha256
default_policy=1.2.3.4.1
digests=sha256,sha512
accuracy=secs:1
ess_cert_id_alg=sha256
`;

function authority(name: string): Uint8Array {
  const key = (file: string): string[] => ['-newkey', 'rsa:2048', '-nodes', '-keyout', file];
  openssl(
    'req',
    '-x509',
    ...key(`${name}-root.key`),
    '-out',
    `${name}-root.pem`,
    '-days',
    '30',
    '-subj',
    `/CN=${name} root`,
    '-config',
    'openssl.cnf',
    '-extensions',
    'root',
  );
  openssl(
    'req',
    ...key(`${name}.key`),
    '-out',
    `${name}.csr`,
    '-subj',
    `/CN=${name} stamps`,
    '-config',
    'openssl.cnf',
  );
  openssl(
    'x509',
    '-req',
    '-in',
    `${name}.csr`,
    '-CA',
    `${name}-root.pem`,
    '-CAkey',
    `${name}-root.key`,
    '-CAcreateserial',
    '-out',
    `${name}.pem`,
    '-days',
    '30',
    '-extfile',
    'openssl.cnf',
    '-extensions',
    'stamp',
  );
  return new Uint8Array(openssl('x509', '-in', `${name}-root.pem`, '-outform', 'DER'));
}

/** One that harbour vouches for, and that may sign mail as well as time-stamps. */
function mailCertificate(): void {
  const key = ['-newkey', 'rsa:2048', '-nodes', '-keyout', 'mail.key'];
  openssl('req', ...key, '-out', 'mail.csr', '-subj', '/CN=mail', '-config', 'openssl.cnf');
  openssl(
    'x509',
    '-req',
    '-in',
    'mail.csr',
    '-CA',
    'harbour-root.pem',
    '-CAkey',
    'harbour-root.key',
    '-CAcreateserial',
    '-out',
    'mail.pem',
    '-days',
    '30',
    '-extfile',
    'openssl.cnf',
    '-extensions',
    'mail',
  );
}

function stampBy(name: string, query: Uint8Array): Uint8Array {
  writeFileSync(join(place, 'query.tsq'), query);
  openssl(
    'ts',
    '-reply',
    '-config',
    'openssl.cnf',
    '-section',
    'one',
    '-queryfile',
    'query.tsq',
    '-signer',
    `${name}.pem`,
    '-inkey',
    `${name}.key`,
    '-chain',
    `${name}-root.pem`,
    '-out',
    'reply.tsr',
  );
  return new Uint8Array(readFileSync(join(place, 'reply.tsr')));
}

const nonce = new Uint8Array([1, 2, 3, 4, 5, 6, 7, 8]);
const data = utf8('what was there at that time');
let roots: readonly [Uint8Array, Uint8Array] = [new Uint8Array(), new Uint8Array()];
let token = new Uint8Array();
if (has) {
  writeFileSync(join(place, 'openssl.cnf'), CONFIG);
  writeFileSync(join(place, 'serial'), '01\n');
  roots = [authority('harbour'), authority('meadow')];
  // Before the token: a certificate that is younger than it would be refused for that.
  mailCertificate();
  token = stampBy('harbour', timestampRequest(data, nonce)).slice();
}

describe.skipIf(!has)(title, () => {
  it.each([
    ['small', [1, 2, 3, 4, 5, 6, 7, 8], '0x0102030405060708'],
    ['large', [255, 2, 3, 4, 5, 6, 7, 8], '0xFF02030405060708'],
    ['beginning with zeros', [0, 0, 128, 4, 5, 6, 7, 8], '0x800405060708'],
  ])('is asked for as OpenSSL asks, with a nonce that is %s', (_, bytes, shown) => {
    writeFileSync(join(place, 'query.tsq'), timestampRequest(data, new Uint8Array(bytes)));
    const said = openssl('ts', '-query', '-in', 'query.tsq', '-text').toString();
    expect(said).toMatch(/Hash Algorithm: sha256/);
    expect(said).toContain(`Nonce: ${shown}`);
    expect(said).toMatch(/Certificate required: yes/);
  });

  it('stands under its authority, as OpenSSL says too', async () => {
    writeFileSync(join(place, 'data'), data);
    writeFileSync(join(place, 'token.tsr'), token);
    const said = openssl(
      'ts',
      '-verify',
      '-data',
      'data',
      '-in',
      'token.tsr',
      '-CAfile',
      'harbour-root.pem',
    );
    expect(said.toString()).toContain('Verification: OK');
    const checked = await checkTimestamp(token, data, [roots[0]]);
    expect(checked).toMatchObject({ ok: true, value: { authority: 'harbour stamps' } });
    expect(checked.ok && checked.value.at).toMatch(/^\d{4}-\d\d-\d\dT/);
  });

  it.each<[string, () => [Uint8Array, Uint8Array, readonly Uint8Array[]], RegExp]>([
    ['over other bytes', () => [token, utf8('something else'), [roots[0]]], /other bytes/],
    ['of an authority that is not trusted', () => [token, data, [roots[1]]], /trusted here/],
    ['with nobody to trust', () => [token, data, []], /trusted here|broken/],
    ['cut short', () => [token.subarray(0, 200), data, [roots[0]]], /broken/],
    ['that is none', () => [utf8('no token'), data, [roots[0]]], /broken/],
  ])('proves nothing %s', async (_, given, wanted) => {
    const checked = await checkTimestamp(...given());
    expect(checked).toMatchObject({ ok: false, flaw: { says: expect.stringMatching(wanted) } });
  });

  it('proves nothing with a byte of its signature changed', async () => {
    const spoilt = token.slice();
    const last = spoilt.length - 5;
    spoilt[last] = (spoilt[last] ?? 0) ^ 1;
    expect((await checkTimestamp(spoilt, data, [roots[0]])).ok).toBe(false);
  });

  it('proves nothing under a certificate that may also sign other things', async () => {
    // OpenSSL's authority refuses such a signer, so that the token is put together by hand.
    const response = pki.TimeStampResp.fromBER(token.slice().buffer);
    const inner = new pki.SignedData({ schema: response.timeStampToken?.content });
    writeFileSync(
      join(place, 'info'),
      new Uint8Array(inner.encapContentInfo.eContent?.getValue() ?? new ArrayBuffer()),
    );
    openssl(
      'cms',
      '-sign',
      '-in',
      'info',
      '-binary',
      '-nodetach',
      '-econtent_type',
      '1.2.840.113549.1.9.16.1.4',
      '-signer',
      'mail.pem',
      '-inkey',
      'mail.key',
      '-md',
      'sha256',
      '-outform',
      'DER',
      '-out',
      'mail.cms',
    );
    const made = new Uint8Array(readFileSync(join(place, 'mail.cms')));
    const timeStampToken = pki.ContentInfo.fromBER(made.buffer);
    const other = new pki.TimeStampResp({ status: response.status, timeStampToken });
    const bytes = new Uint8Array(other.toSchema().toBER());
    const checked = await checkTimestamp(bytes, data, [roots[0]]);
    expect(checked).toMatchObject({ ok: false, flaw: { says: expect.stringMatching(/alone/) } });
  });

  it('in a bag is checked over its entry, and fails the bag over another', async () => {
    const pieces = await lampPieces();
    const line = (seq: number): Uint8Array =>
      joined(pieces.lines[seq] ?? new Uint8Array(), utf8('\n'));
    const over = stampBy('harbour', timestampRequest(line(13), nonce));
    const report = async (seq: number): Promise<Awaited<ReturnType<typeof verifyBag>>> => {
      const timestamps = [{ of: 'entry' as const, seq, token: over }];
      const bag = await packed(recordFolderFiles({ ...pieces, timestamps }));
      const trust = { ...trusted, authorities: [roots[0]] };
      return verifyBag(bag, trust, nodePrimitives, { checkToken: checkTimestamp });
    };
    const good = await report(13);
    expect(good.ok).toBe(true);
    expect(good.findings.find(({ code }) => code === 'timestamp')?.says).toContain(
      'harbour stamps',
    );
    const bad = await report(12);
    expect(bad.checks.filter(({ status }) => status === 'failed').map(({ id }) => id)).toEqual([
      'timestamps',
    ]);
  });
});
