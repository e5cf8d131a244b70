import { describe, expect, test } from 'vitest';
import { checkKeys } from '#lib/core/bag/checks/keys.ts';
import { eventOf } from '#lib/core/bag/bodies.ts';
import type { Examined } from '#lib/core/bag/examined.ts';
import type { KnownKey } from '#lib/core/bag/keys.ts';
import { base64url } from '#lib/core/record/bytes.ts';
import type { Body } from '#lib/core/record/entry.ts';
import { joinCode, joiningMessage } from '#lib/core/record/joining.ts';
import { keyOfSeed, nodePrimitives } from '#lib/crypto/node.ts';
import type { NodeKey } from '#lib/crypto/node.ts';
import type { SealedEntry } from '#lib/core/record/sealed.ts';
import { good } from '#lib/core/record/outcome.ts';
import { aJobId, entryFields, maraKey, sealNext, tomasKey } from '../../../support/a-record.ts';
import { knownKey } from '../../../support/a-bag.ts';

/** The key that was made for Tomas on the device of the job. */
const handKey = keyOfSeed(new Uint8Array(32).fill(11));
const otherKey = keyOfSeed(new Uint8Array(32).fill(12));

interface Said {
  readonly by: string;
  readonly key: NodeKey;
  readonly body: Body;
}

function byCode(nonceOf = 5, hand = handKey): Body {
  const nonce = base64url(new Uint8Array(16).fill(nonceOf));
  const until = '2026-11-25T10:50:00.000-05:00';
  const code = joinCode({ job: aJobId, hand: hand.key, nonce, until }, nodePrimitives);
  const message = joiningMessage({ code, key: tomasKey.key, person: 'tomas' });
  const signature = base64url(tomasKey.sign(message) as Uint8Array);
  const how = { by: 'code', own: base64url(tomasKey.publicKey), nonce, until, signature };
  return { person: 'tomas', competence: [], hand: how };
}

const joins = (key = handKey, body = byCode()): Said => ({ by: 'tomas', key, body });
const briefed = (key: NodeKey): Said => ({ by: 'tomas', key, body: { step: 'told' } });

async function verdict(said: readonly Said[], trusted: readonly KnownKey[]) {
  const sealed: SealedEntry[] = [];
  for (const { by, key, body } of said) {
    const type = 'person' in body ? 'person.joined' : 'caution.read';
    sealed.push(await sealNext(sealed, entryFields(type, body, { by }), key));
  }
  const keys = [
    knownKey(maraKey, 'mara'),
    ...[tomasKey, handKey, otherKey].map((key) => knownKey(key, 'tomas')),
  ];
  const list = (all: readonly KnownKey[]) => ({ keys: all, logs: [], authorities: [] });
  const bag = {
    keys: good(list(keys)),
    trust: list(trusted),
    info: 'none',
    sealed,
    events: sealed.map(({ entry }) => eventOf(entry)),
    primitives: nodePrimitives,
  } as unknown as Examined;
  const { status, findings } = await checkKeys(bag);
  return [status, ...findings.map(({ code }) => code)];
}

const trusted = [knownKey(tomasKey, 'tomas')];

describe('who joined by a code', () => {
  test('is vouched for by the key of their own device', async () => {
    expect(await verdict([joins(), briefed(handKey)], trusted)).toEqual(['held', 'key-vouched']);
    expect(await verdict([joins(), briefed(handKey)], [])).toEqual(['failed', 'key-untrusted']);
  });

  test('goes on with either key from there on, and with no other', async () => {
    const both = [joins(), briefed(tomasKey), briefed(handKey)];
    expect(await verdict(both, trusted)).toEqual(['held', 'key-vouched']);
    const third = await verdict([joins(), briefed(otherKey)], trusted);
    expect(third).toContain('key-changed');
  });

  test('was nobody before: a key that signs first and joins later is not vouched for', async () => {
    const early = [briefed(tomasKey), briefed(handKey), joins()];
    expect(await verdict(early, trusted)).toContain('key-changed');
    const late = [briefed(tomasKey), joins(), briefed(handKey)];
    expect(await verdict(late, trusted)).toEqual(['held', 'key-vouched']);
  });

  test('joins by an entry of their own, for the key that signs it, and once for each code', async () => {
    const byMara: Said = { ...joins(maraKey), by: 'mara' };
    expect(await verdict([byMara], [knownKey(maraKey, 'mara')])).toEqual(['failed', 'joining-bad']);
    expect(await verdict([joins(otherKey)], trusted)).toContain('joining-bad');
    expect(await verdict([joins(), joins()], trusted)).toContain('joining-bad');
    expect(await verdict([joins(), joins(handKey, byCode(6))], trusted)).not.toContain(
      'joining-bad',
    );
  });

  test('with a PIN alone, has no key of another device behind it', async () => {
    const pin = joins(handKey, { person: 'tomas', competence: [], hand: { by: 'pin' } });
    expect(await verdict([pin], trusted)).toEqual(['failed', 'key-untrusted']);
    expect(await verdict([pin], [knownKey(handKey, 'tomas')])).toEqual(['held']);
  });
});
