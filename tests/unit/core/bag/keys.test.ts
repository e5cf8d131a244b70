import { describe, expect, it } from 'vitest';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { keyListBytes, readKeyList, readTrust } from '#lib/core/bag/keys.ts';
import { base64url, textOf, utf8 } from '#lib/core/record/bytes.ts';
import { canonicalText } from '#lib/core/record/canonical.ts';
import { maraKey, tomasKey } from '../../../support/a-record.ts';
import { knownKey } from '../../../support/a-bag.ts';

const keys = [knownKey(tomasKey, 'tomas'), knownKey(maraKey, 'mara')];
const bytes = keyListBytes(keys);
const value = JSON.parse(textOf(bytes) ?? '') as { keys: Record<string, unknown>[]; v: number };

describe('a list of keys', () => {
  it('is read back, sorted by thumbprint', () => {
    const read = readKeyList(bytes, nodePrimitives);
    expect(read.ok && read.value.keys.map(({ person }) => person)).toEqual(['mara', 'tomas']);
    expect(read.ok && read.value.keys[0]).toEqual(keys[1]);
  });

  it('must be canonical in a bag, and need not be as a trust list', () => {
    const loose = utf8(JSON.stringify(value, null, 2));
    expect(readKeyList(loose, nodePrimitives).ok).toBe(false);
    expect(readTrust(loose, nodePrimitives).ok).toBe(true);
  });

  it.each<[string, (list: typeof value) => void]>([
    ['another version', (list) => (list.v = 2)],
    ['a thumbprint of another key', (list) => ((list.keys[0] ?? {})['key'] = tomasKey.key)],
    ['a key twice', (list) => list.keys.push(list.keys[0] ?? {})],
    [
      'a key of small order',
      (list) => ((list.keys[0] ?? {})['public'] = base64url(new Uint8Array(32))),
    ],
    ['a key that is short', (list) => ((list.keys[0] ?? {})['public'] = 'AAAA')],
    ['nobody’s key', (list) => ((list.keys[0] ?? {})['person'] = '')],
    ['a time of nonsense', (list) => ((list.keys[0] ?? {})['since'] = 'yesterday')],
    ['an unknown use', (list) => ((list.keys[0] ?? {})['use'] = 'everything')],
    ['no list', (list) => Reflect.deleteProperty(list, 'keys')],
  ])('is refused with %s', (_, spoil) => {
    const copy = structuredClone(value);
    spoil(copy);
    expect(readKeyList(utf8(canonicalText(copy)), nodePrimitives).ok).toBe(false);
  });

  it('may name logs and authorities when it is a trust list', () => {
    const trust = {
      ...value,
      logs: [{ origin: 'log.example/crew1', public: base64url(maraKey.publicKey) }],
      authorities: ['AAEC'],
    };
    const read = readTrust(utf8(JSON.stringify(trust)), nodePrimitives);
    expect(read).toMatchObject({ ok: true, value: { logs: [{ name: 'log.example/crew1' }] } });
    expect(read.ok && read.value.authorities).toEqual([new Uint8Array([0, 1, 2])]);
  });

  it.each([
    ['a log without a key', { logs: [{ origin: 'a' }] }],
    [
      'a log whose name has a space',
      { logs: [{ origin: 'a b', public: base64url(maraKey.publicKey) }] },
    ],
    ['an authority that is not Base 64', { authorities: ['*'] }],
    ['logs that are no list', { logs: 1 }],
  ])('is refused as a trust list with %s', (_, more) => {
    expect(readTrust(utf8(JSON.stringify({ ...value, ...more })), nodePrimitives).ok).toBe(false);
  });

  it.each([
    ['not JSON', '{'],
    ['a list', '[]'],
    ['null', 'null'],
    ['a text', '"keys"'],
  ])('is refused when it is %s', (_, text) => {
    expect(readTrust(utf8(text), nodePrimitives).ok).toBe(false);
  });
});
