import { createHash } from 'node:crypto';
import { expect, it } from 'vitest';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { ByteSource } from '#lib/core/bag/source.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { writeBag } from '#lib/core/bag/write-bag.ts';
import type { Order } from '#lib/core/job/commands.ts';
import { bagOptions, lampPieces, trusted, wholeJob } from '../../../support/a-bag.ts';

const SIZE = 4 * 1024 * 1024;
const COUNT = 40;

function* picture(number: number): Generator<Uint8Array> {
  const piece = new Uint8Array(512 * 1024).fill(number);
  for (let at = 0; at < SIZE; at += piece.length) yield piece;
}
const photos = Array.from({ length: COUNT }, (_, number) => {
  const sum = createHash('sha256');
  for (const piece of picture(number)) sum.update(piece);
  return { sha256: sum.digest('hex'), size: SIZE, open: () => picture(number) };
});
const first = photos[0]?.sha256 ?? '';

/** The lamp job, all photos taken at one step. */
const orders = wholeJob.map((order): Order => {
  if (order.command !== 'do') return order;
  if (order.step === 'base-off') {
    return { ...order, result: { photos: photos.map(({ sha256 }) => sha256) } };
  }
  if (order.step === 'wires') {
    const connectors = [{ id: 'w1', label: 'brown', terminal: '1' }];
    return { ...order, result: { photos: [first], connectors } };
  }
  return order.step === 'rewire'
    ? { ...order, result: { photos: [first], connector: 'w1' } }
    : order;
});

it('160 MiB of photos go into a bag and are verified without being held', async () => {
  const bag = await writeBag(
    recordFolderFiles(await lampPieces(orders, { photos })),
    bagOptions,
    nodePrimitives,
  );
  if (!bag.ok) throw new Error(bag.flaw.says);
  // The archive is kept as its pieces, of which those of a photo are one and the same memory.
  const pieces: { readonly at: number; readonly bytes: Uint8Array }[] = [];
  const known = new Map<string, Uint8Array>();
  let size = 0;
  let held = 0;
  for await (const piece of bag.value.bytes) {
    const name = createHash('sha256').update(piece).digest('hex');
    const bytes = known.get(name) ?? piece.slice();
    known.set(name, bytes);
    pieces.push({ at: size, bytes });
    size += piece.length;
    held = Math.max(held, process.memoryUsage().arrayBuffers);
  }
  expect(size).toBeGreaterThan(COUNT * SIZE);
  // The distinct pieces kept here are 20 MiB; one photo on its way, and what is not yet collected.
  expect(held).toBeLessThan(120 * 1024 * 1024);

  const source: ByteSource = {
    size,
    read(offset, length) {
      const bytes = new Uint8Array(length);
      let from = pieces.findLastIndex(({ at }) => at <= offset);
      for (let at = 0; at < length; from += 1) {
        const piece = pieces[from];
        if (piece === undefined) throw new RangeError('beyond the end');
        const part = piece.bytes.subarray(offset + at - piece.at).subarray(0, length - at);
        bytes.set(part, at);
        at += part.length;
      }
      return bytes;
    },
  };
  const report = await verifyBag(source, trusted, nodePrimitives);
  expect(report.checks.filter(({ status }) => status === 'failed')).toEqual([]);
}, 60_000);
