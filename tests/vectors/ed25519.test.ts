/** Ed25519 against cases that others published: every way of verifying here says what they say. */
import { expect, it } from 'vitest';
import { nodePrimitives, pooledPrimitives } from '#lib/crypto/node.ts';
import { webPrimitives } from '#lib/crypto/web.ts';
import { verifyStrictly } from '#lib/core/record/ed25519.ts';
import type { Primitives } from '#lib/core/record/primitives.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import { signatureCases } from '../support/ed25519-cases.ts';

const bytes = (text: string): Uint8Array => new Uint8Array(Buffer.from(text, 'hex'));

it('has cases of both kinds', () => {
  expect(signatureCases.filter(({ valid }) => valid)).toHaveLength(13);
  expect(signatureCases.filter(({ valid }) => !valid).length).toBeGreaterThan(40);
});

it.each<[string, Primitives]>([
  ['plain arithmetic', purePrimitives],
  ['Node', nodePrimitives],
  ['Node beside the thread', pooledPrimitives],
  ['Web Cryptography', webPrimitives],
])('accepts exactly the valid ones, by %s', async (_, primitives) => {
  const wrong: number[] = [];
  for (const { id, valid, key, message, signature } of signatureCases) {
    const stood = await verifyStrictly(primitives, bytes(key), bytes(message), bytes(signature));
    if (stood !== valid) wrong.push(id);
  }
  expect(wrong).toEqual([]);
});
