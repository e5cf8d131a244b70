import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { fromHex, openReceipt, utf8 } from '#lib/core/record/index.ts';
import { keyOfSeed, nodePrimitives } from '#lib/crypto/node.ts';
import type { EntryAnswer } from '#lib/server/ingest/answer.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import type { CollectingServer } from '../support/a-collecting-server.ts';
import { aJob, linesOf } from '../support/a-job.ts';
import { aRecord, entryFields, maraKey, sealNext, tomasKey } from '../support/a-record.ts';
import { emptyPlace, kinds } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

const statuses = (entries: readonly EntryAnswer[]) => entries.map(({ status }) => status);
describe.each(kinds)('ingest into %s', (kind) => {
  let place: EmptyPlace;
  let server: CollectingServer;
  let device: string;
  const send = async (lines: readonly Uint8Array[]) => {
    const { entries } = await server.ingest.take(lines, device);
    return entries;
  };

  beforeAll(async () => {
    place = await emptyPlace(kind);
    server = await startCollecting(place);
    ({ device } = await enrolCrew(server, { mara: maraKey, tomas: tomasKey }));
  });
  afterAll(async () => {
    await server.close();
    await place.remove();
  });

  test('every entry is answered with a receipt that proves it', async () => {
    const record = await aRecord(12);
    const entries = await send(linesOf(record));
    expect(statuses(entries)).toEqual(record.map(() => 'accepted'));
    for (const [at, entry] of entries.entries()) {
      if (entry.status === 'rejected') throw new Error(entry.says);
      const leaf = fromHex(record[at]?.hash ?? '') ?? new Uint8Array();
      const opened = await openReceipt(
        utf8(entry.receipt),
        leaf,
        [server.log.noteKey],
        nodePrimitives,
      );
      expect(opened).toMatchObject({ ok: true, value: { index: entry.index } });
    }
  });

  test('the same batch again gives the same receipts, and stores nothing', async () => {
    const record = await aJob(5);
    const first = await send(linesOf(record));
    await send(linesOf(await aJob(3)));
    const before = await server.database.rows.selectFrom('leaves').select('idx').execute();
    const again = await send(linesOf(record));
    expect(statuses(again)).toEqual(record.map(() => 'duplicate'));
    expect(again.map((one) => 'receipt' in one && one.receipt)).toEqual(
      first.map((one) => 'receipt' in one && one.receipt),
    );
    const after = await server.database.rows.selectFrom('leaves').select('idx').execute();
    expect(after).toHaveLength(before.length);
  });

  test('the bytes are stored as they came', async () => {
    const record = await aJob(3);
    await send(linesOf(record));
    const { no } = await server.database.rows
      .selectFrom('jobs')
      .select('no')
      .where('job', '=', record[0]?.entry.job ?? '')
      .executeTakeFirstOrThrow();
    const stored = await server.database.rows
      .selectFrom('leaves')
      .select('line')
      .where('job_no', '=', no)
      .orderBy('seq')
      .execute();
    expect(stored.map(({ line }) => [...line])).toEqual(record.map(({ line }) => [...line]));
  });

  test('batches that come at once are written and signed for together', async () => {
    const records = await Promise.all(Array.from({ length: 12 }, () => aJob(1)));
    const { size } = await server.log.sign();
    const answers = await Promise.all(
      records.map((record) => server.ingest.take(linesOf(record), device)),
    );
    expect(answers.flatMap(({ entries }) => statuses(entries))).toEqual(
      records.map(() => 'accepted'),
    );
    const signed = await server.database.rows
      .selectFrom('checkpoints')
      .select('size')
      .where('size', '>', size)
      .execute();
    expect(Math.max(...signed.map((each) => each.size))).toBe(size + records.length);
    expect(signed.length).toBeLessThan(records.length);
  });

  test('a batch that comes before its time is told where to begin', async () => {
    const record = await aJob(6);
    await send(linesOf(record.slice(0, 2)));
    const early = await send(linesOf(record.slice(4)));
    expect(early).toMatchObject([
      { status: 'rejected', code: 'gap', expected: 2 },
      { status: 'rejected', code: 'gap', expected: 2 },
    ]);
    expect(statuses(await send(linesOf(record.slice(2))))).toEqual(Array(4).fill('accepted'));
  });

  test('two entries with one number are both kept, and the job is marked', async () => {
    const record = await aJob(3);
    await send(linesOf(record));
    const other = [...record.slice(0, 2)];
    const { job } = record[0]!.entry;
    other.push(await sealNext(other, entryFields('amended', { about: 'x' }, { job, mono: 9 })));
    other.push(await sealNext(other, entryFields('amended', { about: 'y' }, { job, mono: 10 })));
    const answers = await send(linesOf(other));
    expect(statuses(answers)).toEqual(['duplicate', 'duplicate', 'forked', 'forked']);
    const row = await server.database.rows
      .selectFrom('jobs')
      .selectAll()
      .where('job', '=', job)
      .executeTakeFirstOrThrow();
    expect(row).toMatchObject({ forked: 1, count: 3 });
    const flags = await server.database.rows
      .selectFrom('flags')
      .select('code')
      .where('job_no', '=', row.no)
      .execute();
    expect(flags).toEqual([{ code: 'fork' }]);
    // The first branch goes on, and is accepted.
    const next = await sealNext(record, entryFields('amended', { about: 'z' }, { job, mono: 11 }));
    expect(statuses(await send([next.line]))).toEqual(['accepted']);
  });

  test('what does not fit is refused, each line for itself', async () => {
    const record = await aJob(3);
    const [first, second, third] = record;
    const { job } = first!.entry;
    const stranger = await sealNext(
      record,
      entryFields('amended', {}, { job }),
      keyOfSeed(new Uint8Array(32).fill(99)),
    );
    const inAnotherName = await sealNext(record, entryFields('amended', {}, { job, by: 'tomas' }));
    const changed = utf8(new TextDecoder().decode(third!.line).replace('s2', 's3'));
    const answers = await send([
      first!.line,
      utf8('{"entry":1}'),
      utf8('not json'),
      second!.line,
      changed,
      third!.line,
      stranger.line,
      inAnotherName.line,
    ]);
    expect(answers.map((one) => ('code' in one ? one.code : one.status))).toEqual([
      'accepted',
      'bad-field',
      'not-json',
      'accepted',
      'bad-signature',
      'accepted',
      'unknown-key',
      'not-their-key',
    ]);
  });
});
