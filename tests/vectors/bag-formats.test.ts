/** Bags of every format that was ever written, frozen: this reader must read them all, for ever. */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { frontInputOf } from '#lib/core/bag/checks/front.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { trusted } from '../support/a-bag.ts';

const frozen = [
  {
    file: 'bag-1.zip',
    sha256: 'd19622d5f3a28d9566b437f0bd730d58495bbd09facc6709eda2d1634d5d6bb8',
    head: '2d1cd1a9b470487fa70aa6c7117ba55c456b468eb391e3cbcec9fbfe41414c11',
    entries: 14,
  },
];

describe.each(frozen)('$file', ({ file, sha256, head, entries }) => {
  const bytes = new Uint8Array(readFileSync(new URL(file, import.meta.url)));

  it('is the file that was frozen', () => {
    expect(createHash('sha256').update(bytes).digest('hex')).toBe(sha256);
  });

  it('is read entry for entry, and every check of it that rests on what was written holds', async () => {
    const { checks, job, bag } = await verifyBag(bytes, trusted, nodePrimitives);
    expect(job).toMatchObject({ head, entries });
    expect(checks.filter(({ status }) => status === 'failed').map(({ id }) => id)).toEqual([]);
    expect(bag === null ? null : frontInputOf(bag, 'en')).not.toBeNull();
  });
});
