/**
 * How fast the server takes entries in, as a share of what checking their signatures alone would allow
 * on the same cores in the same run; and beside bare inserts of the rows that it wrote.
 *
 *     node tests/bench/ingest.ts [--entries 20000] [--senders 6] [--rounds 3] [--only sqlite|postgres]
 *                                [--flat 1000000]
 *
 * Prints JSON, the ratio first. Several senders, each with jobs of its own, send batches of 100 at once.
 * `--flat` takes that many entries in beforehand, made as they are sent, and tells what memory they cost.
 */
import { randomBytes } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { headOf, sealEntry, signatureStands, uuidV7 } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import { nodePrimitives, pooledPrimitives } from '#lib/crypto/node.ts';
import type { Database, Kind, Place } from '#lib/server/database/database.ts';
import type { LeafTable } from '#lib/server/database/tables.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import type { CollectingServer } from '../support/a-collecting-server.ts';
import { startPostgres } from '../support/a-postgres.ts';
import { entryFields, maraKey } from '../support/a-record.ts';
import { bareTable } from './bare-inserts.ts';

const { values } = parseArgs({
  options: {
    entries: { type: 'string', default: '20000' },
    senders: { type: 'string', default: '6' },
    rounds: { type: 'string', default: '3' },
    flat: { type: 'string', default: '0' },
    only: { type: 'string' },
  },
});
const [entries, senders, rounds, flat] = [
  values.entries,
  values.senders,
  values.rounds,
  values.flat,
].map(Number) as [number, number, number, number];
const BATCH = 100;
const BATCHES_A_JOB = 4;

/** Batches of one sender without end: jobs of 400 entries, about 500 bytes each. */
async function* batchesOf(): AsyncGenerator<SealedEntry[]> {
  for (;;) {
    const job = uuidV7(Date.UTC(2026, 10, 25), new Uint8Array(randomBytes(10)));
    let last: SealedEntry | null = null;
    for (let at = 0; at < BATCHES_A_JOB; at += 1) {
      const batch: SealedEntry[] = [];
      while (batch.length < BATCH) {
        const seq: number = last === null ? 0 : last.entry.seq + 1;
        const body = { step: `step-${seq}`, result: { value: '119.8', unit: 'V', note: 'steady' } };
        const fields = entryFields(seq === 0 ? 'job.opened' : 'step.done', body, {
          job,
          mono: seq,
        });
        const head: Parameters<typeof sealEntry>[1] = last === null ? null : headOf(last);
        const sealed = await sealEntry(fields, head, maraKey, nodePrimitives);
        if (!sealed.ok) throw new Error(sealed.flaw.says);
        last = sealed.value;
        batch.push(last);
      }
      yield batch;
    }
  }
}

/** @returns for each sender its batches, in order */
async function made(count: number): Promise<SealedEntry[][][]> {
  return Promise.all(
    Array.from({ length: senders }, async () => {
      const batches: SealedEntry[][] = [];
      for await (const batch of batchesOf()) {
        batches.push(batch);
        if (batches.length * BATCH * senders >= count) break;
      }
      return batches;
    }),
  );
}

/** Entries a second, and microseconds of this process for each: every sender waits for its answer before it sends on. */
async function rateOf(
  all: readonly SealedEntry[][][],
  take: (batch: readonly SealedEntry[]) => Promise<void>,
): Promise<{ readonly rate: number; readonly cpu: number }> {
  const [began, used] = [performance.now(), process.cpuUsage()];
  await Promise.all(
    all.map(async (batches) => {
      for (const batch of batches) await take(batch);
    }),
  );
  const count = all.flat(2).length;
  const { user, system } = process.cpuUsage(used);
  return { rate: (count / (performance.now() - began)) * 1000, cpu: (user + system) / count };
}

async function signaturesOnly(batch: readonly SealedEntry[]): Promise<void> {
  const verdicts = await Promise.all(
    batch.map((sealed) => signatureStands(sealed, maraKey.publicKey, pooledPrimitives)),
  );
  if (verdicts.includes(false)) throw new Error('A signature does not stand.');
}

interface Round {
  readonly ratio: number;
  /** Ingest beside bare inserts. */
  readonly toBare: number;
  readonly ingest: Awaited<ReturnType<typeof rateOf>>;
  readonly signatures: Awaited<ReturnType<typeof rateOf>>;
  readonly bare: number;
  readonly entriesACommit: number;
}

/** What was written from leaf `from` on, in the groups in which it was signed for: the server commits them so. */
async function writtenSince({ rows }: Database, from: number): Promise<LeafTable[][]> {
  const checkpoints = await rows
    .selectFrom('checkpoints')
    .select('size')
    .where('size', '>', from)
    .orderBy('size')
    .execute();
  const groups: LeafTable[][] = [];
  let first = from;
  for (const { size } of checkpoints) {
    const wanted = rows.selectFrom('leaves').selectAll().where('idx', '>=', first);
    groups.push(await wanted.where('idx', '<', size).orderBy('idx').execute());
    first = size;
  }
  return groups;
}

const median = (all: readonly number[]): number =>
  [...all].sort((a, b) => a - b)[Math.floor(all.length / 2)] ?? NaN;

async function measure(kind: Kind, address: string) {
  const folder = mkdtempSync(join(tmpdir(), 'stillwire-bench-'));
  const place: Place =
    kind === 'sqlite' ? { kind, file: join(folder, 'records.sqlite') } : { kind, address };
  const server = await startCollecting({ place, folder, remove: () => Promise.resolve() });
  const bareRows = await bareTable(place, folder);
  try {
    const { device } = await enrolCrew(server, { mara: maraKey });
    const take = async (batch: readonly SealedEntry[]) => {
      const lines = batch.map(({ line }) => line);
      const answer = await server.ingest.take(lines, device);
      if (answer.entries.some(({ status }) => status !== 'accepted'))
        throw new Error('An entry was not accepted.');
    };
    const memory = flat === 0 ? undefined : await takeMany(server, take);
    const ratios: Round[] = [];
    for (let round = 0; round < rounds; round += 1) {
      const all = await made(entries);
      const signatures = await rateOf(all, signaturesOnly);
      const { size: from } = await server.log.sign();
      const ingest = await rateOf(all, take);
      const groups = await writtenSince(server.database, from);
      const count = groups.flat().length;
      if (count !== all.flat(2).length)
        throw new Error('Not every entry stands under a checkpoint.');
      const [held, began] = [await bareRows.count(), performance.now()];
      await bareRows.insert(groups);
      const bare = (count / (performance.now() - began)) * 1000;
      if ((await bareRows.count()) !== held + count) throw new Error('Not every row was inserted.');
      const entriesACommit = Math.round(count / groups.length);
      const ratio = ingest.rate / signatures.rate;
      ratios.push({ ratio, toBare: ingest.rate / bare, ingest, signatures, bare, entriesACommit });
    }
    ratios.sort((a, b) => a.ratio - b.ratio);
    const middle = ratios[Math.floor(ratios.length / 2)];
    if (middle === undefined) throw new RangeError('Measure at least one round.');
    return {
      ratio: Number(middle.ratio.toFixed(3)),
      ratios: ratios.map(({ ratio }) => Number(ratio.toFixed(3))),
      entriesPerSecond: Math.round(middle.ingest.rate),
      signaturesPerSecond: Math.round(middle.signatures.rate),
      bare: {
        ratio: Number(median(ratios.map(({ toBare }) => toBare)).toFixed(3)),
        ratios: ratios.map(({ toBare }) => Number(toBare.toFixed(3))).sort((a, b) => a - b),
        rowsPerSecond: Math.round(median(ratios.map(({ bare }) => bare))),
        entriesACommit: Math.round(median(ratios.map((each) => each.entriesACommit))),
      },
      // What this process used; on a busy machine it says more than the clock does.
      microsecondsOfProcessor: {
        signatures: Number(middle.signatures.cpu.toFixed(1)),
        ingest: Number(middle.ingest.cpu.toFixed(1)),
      },
      ...(memory === undefined ? {} : { memory }),
    };
  } finally {
    await bareRows.close();
    await server.close();
    rmSync(folder, { recursive: true, force: true, maxRetries: 3 });
  }
}

/** Megabytes held after each tenth of the way. */
async function takeMany(
  { clock }: CollectingServer,
  take: (batch: readonly SealedEntry[]) => Promise<void>,
) {
  const held: number[] = [];
  let taken = 0;
  const began = performance.now();
  await Promise.all(
    Array.from({ length: senders }, async () => {
      for await (const batch of batchesOf()) {
        if (taken >= flat) return;
        taken += batch.length;
        await take(batch);
        clock.now += 1;
        if (taken >= ((held.length + 1) * flat) / 10) {
          globalThis.gc?.();
          held.push(Math.round(process.memoryUsage().rss / 1e6));
        }
      }
    }),
  );
  return {
    entries: taken,
    seconds: Math.round((performance.now() - began) / 1000),
    megabytes: held,
  };
}

const kinds = (['sqlite', 'postgres'] as const).filter(
  (kind) => values.only === undefined || values.only === kind,
);
const postgres = kinds.includes('postgres') ? await startPostgres() : null;
try {
  const results: Record<string, unknown> = {};
  for (const kind of kinds) {
    process.stderr.write(`  ingest: ${kind} …\n`);
    results[kind] = await measure(kind, postgres?.address ?? '');
  }
  const megabytes = Math.round(process.resourceUsage().maxRSS / 1000);
  const told = {
    goal: 0.8,
    ...results,
    cores: availableParallelism(),
    batch: BATCH,
    senders,
    megabytes,
  };
  process.stdout.write(`${JSON.stringify(told, null, 2)}\n`);
} finally {
  await postgres?.stop();
}
