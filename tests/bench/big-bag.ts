/**
 * A bag of many photos, written or verified in a process of its own, so that its memory is its own:
 *
 *     node tests/bench/big-bag.ts write FILE MEGABYTES
 *     node tests/bench/big-bag.ts verify FILE
 *     node tests/bench/big-bag.ts hash FILE
 *
 * Prints JSON: `seconds`, and `megabytes` of memory at the most. `hash` reads the file and takes the two
 * digests of a manifest and the checksum of the archive, which every verifier has to.
 */
import { createHash } from 'node:crypto';
import { closeSync, openSync, readSync, writeSync } from 'node:fs';
import { crc32 } from 'node:zlib';
import type { Order } from '#lib/core/job/commands.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { writeBag } from '#lib/core/bag/write-bag.ts';
import { nodePrimitives, pooledPrimitives } from '#lib/crypto/node.ts';
import { sourceOnDisk } from '../../src/cli/file-on-disk.ts';
import { bagOptions, lampPieces, sealAll, trusted, wholeJob } from '../support/a-bag.ts';
import { longJob } from './long-job.ts';

const PHOTOS = 200;
const PIECE = 1024 * 1024;

/** A "photo" in pieces: begins like a JPEG, then bytes that no packing makes shorter. */
function* photo(no: number, megabytes: number): Generator<Uint8Array> {
  let word = no + 1;
  for (let piece = 0; piece < megabytes; piece += 1) {
    const words = new Uint32Array(PIECE / 4);
    for (let at = 0; at < words.length; at += 1)
      words[at] = word = (Math.imul(word, 1_664_525) + 1_013_904_223) | 0;
    const bytes = new Uint8Array(words.buffer);
    if (piece === 0) bytes.set([0xff, 0xd8, 0xff, 0xe0]);
    yield bytes;
  }
}

async function write(file: string, megabytes: number): Promise<void> {
  const each = Math.max(1, Math.round(megabytes / PHOTOS));
  const photos = Array.from({ length: Math.min(PHOTOS, megabytes) }, (_, no) => {
    const digest = createHash('sha256');
    for (const piece of photo(no, each)) digest.update(piece);
    return { sha256: digest.digest('hex'), size: each * PIECE, open: () => photo(no, each) };
  });
  const all = photos.map(({ sha256 }) => sha256);
  const orders = wholeJob.map((order): Order => {
    if (order.command !== 'do' || order.result.photos === undefined) return order;
    const connectors = order.result.connectors?.map(({ id, label, terminal }) => {
      return { id, label, terminal };
    });
    const result = { ...order.result, ...(connectors === undefined ? {} : { connectors }) };
    return { ...order, result: { ...result, photos: all } };
  });
  const { sealed, disclosures } = await sealAll(longJob(wholeJob.length + 10, orders));
  const lines = sealed.map(({ line }) => line);
  const pieces = await lampPieces(undefined, { lines, disclosures, photos });
  const bag = await writeBag(recordFolderFiles(pieces), bagOptions, nodePrimitives);
  if (!bag.ok) throw new Error(bag.flaw.says);
  const handle = openSync(file, 'w');
  for await (const bytes of bag.value.bytes) writeSync(handle, bytes);
  closeSync(handle);
}

async function verify(file: string): Promise<void> {
  const source = sourceOnDisk(file);
  const report = await verifyBag(source, trusted, pooledPrimitives);
  source.close();
  if (!report.ok) throw new Error(report.findings.map(({ says }) => says).join('\n'));
}

function digest(file: string): void {
  const handle = openSync(file, 'r');
  const hashes = [createHash('sha256'), createHash('sha512')];
  const bytes = new Uint8Array(512 * 1024);
  let sum = 0;
  for (let read = 1; read > 0;) {
    read = readSync(handle, bytes);
    const piece = bytes.subarray(0, read);
    for (const hash of hashes) hash.update(piece);
    sum = crc32(piece, sum);
  }
  closeSync(handle);
  if (hashes.some((hash) => hash.digest('hex') === '') || sum === 0) throw new Error('No digest.');
}

const [what, file = '', megabytes = '1000'] = process.argv.slice(2);
const began = performance.now();
if (what === 'write') await write(file, Number(megabytes));
else if (what === 'verify') await verify(file);
else if (what === 'hash') digest(file);
else throw new Error('write, verify or hash.');
const seconds = (performance.now() - began) / 1000;
const most = Math.round(process.resourceUsage().maxRSS / 1000);
process.stdout.write(`${JSON.stringify({ seconds, megabytes: most })}\n`);
