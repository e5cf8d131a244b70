/** Entries sealed a second, beside the bare signature and a general signed-log library (`hypercore`). */
import Hypercore from 'hypercore';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { headOf, readRecord } from '#lib/core/record/chain.ts';
import { entryMessage } from '#lib/core/record/envelope.ts';
import { sealEntry } from '#lib/core/record/sealed.ts';
import type { SealedEntry } from '#lib/core/record/sealed.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { entryFields, maraKey, recordBytes } from '../support/a-record.ts';
import { rowOf, timed } from './paired.ts';
import type { Row } from './paired.ts';

const COUNT = 2000;

async function sealed(): Promise<SealedEntry[]> {
  const all: SealedEntry[] = [];
  for (let seq = 0; seq < COUNT; seq += 1) {
    const body = { step: `step-${seq}`, result: { value: '119.8', unit: 'V', note: 'steady' } };
    const fields = entryFields(seq === 0 ? 'job.opened' : 'step.done', seq === 0 ? {} : body, {
      mono: seq,
    });
    const last = all.at(-1);
    const head = last === undefined ? null : headOf(last);
    const made = await sealEntry(fields, head, maraKey, nodePrimitives);
    if (!made.ok) throw new Error(made.flaw.says);
    all.push(made.value);
  }
  return all;
}

export async function bench(rounds: number): Promise<Row[]> {
  const good = await sealed();
  const read = readRecord(recordBytes(good), nodePrimitives);
  if (!read.ok) throw new Error(read.flaw.says);
  const messages = good.map(({ line }) => entryMessage(line.subarray(9, -98)));
  const folder = mkdtempSync(join(tmpdir(), 'stillwire-bench-'));
  const log = new Hypercore(join(folder, 'log'));
  await log.ready();
  try {
    const seconds = await timed(
      [
        { name: 'seal', run: async () => void (await sealed()) },
        {
          name: 'signature',
          run: async () => {
            for (const message of messages) await maraKey.sign(message);
          },
        },
        {
          name: 'hypercore',
          run: async () => {
            for (const { line } of good) await log.append(line);
          },
        },
      ],
      rounds,
      'processor',
    );
    const says =
      'an entry of about 500 bytes made canonical, chained, hashed and signed, one by one';
    return [
      rowOf({ name: 'seal', says, units: COUNT, unit: 'entries' }, seconds, [
        { ours: 'seal', to: 'signature', most: 1.25 },
        { ours: 'seal', to: 'hypercore', least: 3 },
      ]),
    ];
  } finally {
    await log.close();
    rmSync(folder, { recursive: true, force: true });
  }
}
