import { createPublicKey, verify } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { base64url, hex, joined, textOf, utf8 } from '#lib/core/record/bytes.ts';
import { canonicalText } from '#lib/core/record/canonical.ts';
import type { Body } from '#lib/core/record/entry.ts';
import { ENTRY_TYPE, envelopeOf, preAuthentication } from '#lib/core/record/envelope.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import {
  readLine,
  sealEntry,
  signatureStands,
  signatureStandsStrictly,
  signedBytes,
} from '#lib/core/record/sealed.ts';
import { entryFields, maraKey, sealNext, tomasKey } from '../../../support/a-record.ts';

const opened = await sealNext([], entryFields('job.opened', { demo: true }));
const lineText = textOf(opened.line) ?? '';

/** The line with its entry changed, canonical again, the signature left as it was. */
function changed(change: (entry: Record<string, unknown>) => void): Uint8Array {
  const value = JSON.parse(lineText) as { entry: Record<string, unknown>; sig: string };
  change(value.entry);
  return utf8(canonicalText(value));
}

describe('a sealed line', () => {
  it('is the canonical entry and its signature', () => {
    expect(lineText).toMatch(/^\{"entry":\{"app":"0\.1\.0\+test",.*\},"sig":"[\w-]{86}"\}$/);
    expect(textOf(signedBytes(opened))).toBe(canonicalText(opened.entry));
  });

  it('has the hash that prefixes a zero byte (RFC 6962 section 2.1)', () => {
    const leaf = joined(new Uint8Array([0]), opened.line);
    expect(opened.hash).toBe(hex(purePrimitives.sha256(leaf)));
  });

  it('carries a signature that Node alone confirms over the DSSE encoding', () => {
    // DSSE v1 protocol: PAE = "DSSEv1" SP LEN(type) SP type SP LEN(body) SP body.
    const body = canonicalText(opened.entry);
    const message = `DSSEv1 ${ENTRY_TYPE.length} ${ENTRY_TYPE} ${Buffer.byteLength(body)} ${body}`;
    const jwk = { kty: 'OKP', crv: 'Ed25519', x: base64url(maraKey.publicKey) };
    const key = createPublicKey({ key: jwk, format: 'jwk' });
    expect(verify(null, Buffer.from(message), key, Buffer.from(opened.sig, 'base64url'))).toBe(
      true,
    );
  });

  it('stands under its key on every platform, and under no other', async () => {
    for (const platform of [purePrimitives, nodePrimitives]) {
      expect(await signatureStands(opened, maraKey.publicKey, platform)).toBe(true);
      expect(await signatureStandsStrictly(opened, tomasKey.publicKey, platform)).toBe(false);
    }
  });

  it('is read back as it was sealed', () => {
    expect(readLine(opened.line, nodePrimitives)).toEqual({ ok: true, value: opened });
  });

  it('turns into a DSSE envelope', () => {
    const envelope = envelopeOf(signedBytes(opened), opened.entry.key, opened.sig);
    expect(Buffer.from(envelope.payload, 'base64').toString()).toBe(canonicalText(opened.entry));
    expect(envelope.signatures[0]?.sig).toMatch(/^[A-Za-z0-9+/]{86}==$/);
  });

  it('encodes the empty and the published example alike', () => {
    // DSSE protocol.md, test vectors: type "http://example.com/HelloWorld", body "hello world".
    const encoded = preAuthentication('http://example.com/HelloWorld', utf8('hello world'));
    expect(textOf(encoded)).toBe('DSSEv1 29 http://example.com/HelloWorld 11 hello world');
    expect(textOf(preAuthentication('', utf8('')))).toBe('DSSEv1 0  0 ');
  });
});

describe('no byte of a line can change', () => {
  it('without the reader, the signature or the hash noticing', async () => {
    for (let at = 0; at < opened.line.length; at += 1) {
      const line = opened.line.slice();
      line[at] = (line[at] ?? 0) ^ 1;
      const read = readLine(line, nodePrimitives);
      if (!read.ok) continue;
      expect(read.value.hash).not.toBe(opened.hash);
      expect(await signatureStands(read.value, maraKey.publicKey, nodePrimitives)).toBe(false);
    }
  });
});

describe('the form of an entry', () => {
  const code = (line: Uint8Array): string => {
    const read = readLine(line, nodePrimitives);
    return read.ok ? 'read' : read.flaw.code;
  };

  it.each([
    ['a newer version', (e: Record<string, unknown>) => (e['v'] = 2), 'unknown-version'],
    ['no version', (e: Record<string, unknown>) => delete e['v'], 'unknown-version'],
    [
      'an unknown type',
      (e: Record<string, unknown>) => (e['type'] = 'job.blessed'),
      'unknown-type',
    ],
    ['an extra field', (e: Record<string, unknown>) => (e['extra'] = 1), 'unknown-field'],
    ['no author', (e: Record<string, unknown>) => delete e['by'], 'missing-field'],
    ['an empty author', (e: Record<string, unknown>) => (e['by'] = ''), 'bad-field'],
    ['an author on two lines', (e: Record<string, unknown>) => (e['by'] = 'a\nb'), 'bad-field'],
    [
      'a time without offset',
      (e: Record<string, unknown>) => (e['at'] = '2026-11-25T10:42:07.120'),
      'bad-field',
    ],
    [
      'the 30th of February',
      (e: Record<string, unknown>) => (e['at'] = '2026-02-30T10:42:07Z'),
      'bad-field',
    ],
    ['a negative clock', (e: Record<string, unknown>) => (e['mono'] = -1), 'bad-field'],
    [
      'a version 4 job',
      (e: Record<string, unknown>) => (e['job'] = '0b9ac0de-7000-4abc-8def-0123456789ab'),
      'bad-field',
    ],
    [
      'an upper-case hash',
      (e: Record<string, unknown>) => (e['prev'] = 'AB'.repeat(32)),
      'bad-field',
    ],
    ['a body that is a list', (e: Record<string, unknown>) => (e['body'] = []), 'bad-field'],
    ['an empty list of digests', (e: Record<string, unknown>) => (e['_sd'] = []), 'bad-field'],
    [
      'digests out of order',
      (e: Record<string, unknown>) => (e['_sd'] = ['B'.repeat(42) + 'A', 'A'.repeat(43)]),
      'bad-field',
    ],
    [
      'a digest twice',
      (e: Record<string, unknown>) => (e['_sd'] = ['A'.repeat(43), 'A'.repeat(43)]),
      'bad-field',
    ],
    [
      'a checkpoint with one field more',
      (e: Record<string, unknown>) =>
        (e['seen'] = { origin: 'a', root: 'A'.repeat(43) + '=', size: 1, x: 1 }),
      'bad-field',
    ],
    [
      'a key that is no thumbprint',
      (e: Record<string, unknown>) => (e['key'] = 'B'.repeat(43)),
      'bad-field',
    ],
  ])('refuses %s', (_, change, wanted) => {
    expect(code(changed(change))).toBe(wanted);
  });

  it('reads the optional fields', () => {
    const line = changed((entry) => {
      entry['_sd'] = ['A'.repeat(43)];
      entry['seen'] = { origin: 'log.example/one', root: `${'A'.repeat(43)}=`, size: 9 };
    });
    expect(code(line)).toBe('read');
  });

  it.each([
    ['no signature', '{"entry":{}}', 'bad-field'],
    ['more than two members', lineText.replace('{"entry"', '{"also":1,"entry"'), 'bad-field'],
    ['a signature with bits left over', lineText.replace(/.(?="\}$)/, 'B'), 'bad-encoding'],
    ['a short signature', lineText.replace(/..(?="\}$)/, ''), 'bad-encoding'],
    ['a text', '"entry"', 'bad-field'],
    ['null', 'null', 'bad-field'],
  ])('refuses a line with %s', (_, text, wanted) => {
    expect(code(utf8(text))).toBe(wanted);
  });
});

describe('sealing refuses what its own reader would refuse, and signs nothing', () => {
  let signed = 0;
  const counting = { key: maraKey.key, sign: () => ((signed += 1), new Uint8Array(64)) };
  const nest = (depth: number): Body => (depth === 0 ? {} : { in: nest(depth - 1) });

  it.each([
    ['a text of 40,000 bytes', { body: { note: 'a'.repeat(40_000) } }, 'too-long'],
    ['a body nested too deeply', { body: nest(15) }, 'too-deep'],
    ['half of a surrogate pair', { body: { note: '\ud83d' } }, 'not-plain'],
    ['a measured fraction', { body: { volts: 1.5 } }, 'not-plain'],
    ['a time of nonsense', { at: 'noon' }, 'bad-field'],
  ])('%s', async (_, more, wanted) => {
    const fields = entryFields('job.opened', {}, more);
    const sealed = await sealEntry(fields, null, counting, nodePrimitives);
    expect(sealed).toMatchObject({ ok: false, flaw: { code: wanted } });
    expect(signed).toBe(0);
  });

  it('and seals the longest entry that fits into 32 KiB', async () => {
    const empty = await sealNext([], entryFields('job.opened', { note: '' }));
    const room = 32 * 1024 - empty.line.length;
    const full = await sealNext([], entryFields('job.opened', { note: 'a'.repeat(room) }));
    expect(full.line.length).toBe(32 * 1024);
    expect(readLine(full.line, nodePrimitives).ok).toBe(true);
    const over = entryFields('job.opened', { note: 'a'.repeat(room + 1) });
    expect((await sealEntry(over, null, maraKey, nodePrimitives)).ok).toBe(false);
  });
});
