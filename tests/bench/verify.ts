/**
 * A bag of 10,000 entries verified, beside its signatures and hashes alone on one thread, and beside the audit of
 * a general signed log (`hypercore`) that holds the same lines under one signature; and a bag of a
 * thousand megabytes of photos, beside taking its digests alone, each in a process of its own.
 */
import { spawnSync } from 'node:child_process';
import { createHash, createPublicKey, verify } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { base64url, fromBase64url } from '#lib/core/record/bytes.ts';
import { entryMessage } from '#lib/core/record/envelope.ts';
import type { Primitives } from '#lib/core/record/primitives.ts';
import { lineHash, signedBytes } from '#lib/core/record/sealed.ts';
import { nodePrimitives, pooledPrimitives } from '#lib/crypto/node.ts';
import { lampPieces, packed, sealAll, trusted } from '../support/a-bag.ts';
import { maraKey } from '../support/a-record.ts';
import { auditedLog } from './log-audit.ts';
import { longJob } from './long-job.ts';
import { rowOf, timed } from './paired.ts';
import type { Row } from './paired.ts';

const ENTRIES = 10_000;
const MEGABYTES = 1000;
const MOST_MEGABYTES = 200;

async function holds(bag: Uint8Array, primitives: Primitives): Promise<boolean> {
  const { ok, job } = await verifyBag(bag, trusted, primitives);
  return ok && job !== null;
}

export async function entriesRow(rounds: number, entries = ENTRIES): Promise<Row> {
  const { sealed, disclosures } = await sealAll(longJob(entries));
  const lines = sealed.map(({ line }) => line);
  const bag = await packed(recordFolderFiles(await lampPieces(undefined, { lines, disclosures })));
  if (!(await holds(bag, nodePrimitives))) throw new Error('The bag does not hold.');
  const spoilt = bag.slice();
  spoilt[bag.length >> 1] = (spoilt[bag.length >> 1] ?? 0) ^ 1;
  if (await holds(spoilt, pooledPrimitives)) throw new Error('A spoilt bag holds.');
  const x = base64url(maraKey.publicKey);
  const key = createPublicKey({ key: { kty: 'OKP', crv: 'Ed25519', x }, format: 'jwk' });
  const signed = sealed.map((each) => ({
    line: each.line,
    message: entryMessage(signedBytes(each)),
    signature: fromBase64url(each.sig) ?? new Uint8Array(),
  }));
  const raw = (): void => {
    for (const { line, message, signature } of signed) {
      lineHash(line, nodePrimitives);
      if (!verify(null, message, key, signature)) throw new Error('A signature does not stand.');
    }
    for (const name of ['sha256', 'sha512']) createHash(name).update(bag).digest();
  };
  const hashes = { name: 'signatures and hashes', run: raw };
  const one = { name: 'verify', run: async () => void (await holds(bag, nodePrimitives)) };
  const threads = {
    name: 'verify with threads',
    run: async () => void (await holds(bag, pooledPrimitives)),
  };
  const folder = mkdtempSync(join(tmpdir(), 'stillwire-bench-'));
  const log = await auditedLog(folder, lines);
  const audit = { name: 'hypercore audit', run: () => log.audit() };
  try {
    await log.audit();
    const alone = await timed([one, hashes, audit], rounds, 'processor');
    const together = await timed([threads, hashes], rounds);
    return entriesRowOf(entries, alone, together);
  } finally {
    await log.close();
    rmSync(folder, { recursive: true, force: true, maxRetries: 3 });
  }
}

type Seconds = Awaited<ReturnType<typeof timed>>;

function entriesRowOf(entries: number, alone: Seconds, together: Seconds): Row {
  const says = `a bag of ${entries} entries, every signature, on one thread and with others`;
  const given = { name: 'verify', says, units: entries, unit: 'entries' };
  const row = rowOf(given, alone, [
    { ours: 'verify', to: 'signatures and hashes', most: 1.1 },
    { ours: 'verify', to: 'hypercore audit' },
  ]);
  const wide = rowOf(given, together, [
    { ours: 'verify with threads', to: 'signatures and hashes', least: 1.6 },
  ]);
  return { ...row, ways: { ...wide.ways, ...row.ways }, ratios: [...row.ratios, ...wide.ratios] };
}

interface Told {
  readonly seconds: number;
  readonly megabytes: number;
}

function bigBag(...args: readonly string[]): Told {
  const file = fileURLToPath(new URL('./big-bag.ts', import.meta.url));
  const { status, stdout, stderr } = spawnSync(process.execPath, [file, ...args]);
  if (status !== 0) throw new Error(stderr.toString());
  return JSON.parse(stdout.toString()) as Told;
}

function bigRow(rounds: number, megabytes = MEGABYTES): Row {
  const folder = mkdtempSync(join(tmpdir(), 'stillwire-bench-'));
  const file = join(folder, 'photos.zip');
  try {
    bigBag('write', file, String(megabytes));
    let most = 0;
    // The time inside each process: starting one says nothing of a bag.
    const told = new Map<string, number[]>([
      ['verify', []],
      ['digests', []],
    ]);
    for (let round = 0; round <= rounds; round += 1) {
      const verified = bigBag('verify', file);
      const digested = bigBag('hash', file);
      most = Math.max(most, verified.megabytes);
      if (round === 0) continue;
      told.get('verify')?.push(verified.seconds);
      told.get('digests')?.push(digested.seconds);
    }
    const says = `a bag of ${megabytes} MB in 200 photos, read from the disk`;
    const row = rowOf({ name: 'verify 1 GB', says, units: megabytes, unit: 'MB' }, told, [
      { ours: 'verify', to: 'digests', most: 1.25 },
    ]);
    const memory = {
      to: `${MOST_MEGABYTES} MB of memory`,
      ratio: Number((most / MOST_MEGABYTES).toPrecision(3)),
      spread: 0,
      goal: `at most ${MOST_MEGABYTES} MB`,
      met: most <= MOST_MEGABYTES,
    };
    return { ...row, megabytes: most, ratios: [...row.ratios, memory] };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

export async function bench(rounds: number): Promise<Row[]> {
  return [await entriesRow(rounds), bigRow(Math.min(rounds, 3))];
}
