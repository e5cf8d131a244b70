import { existsSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openReceipt, utf8 } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { backUp } from '#lib/server/backup/backup.ts';
import { copyTables } from '#lib/server/backup/copy-tables.ts';
import { goOn, restore } from '#lib/server/backup/restore.ts';
import { Database } from '#lib/server/database/database.ts';
import type { Kind } from '#lib/server/database/database.ts';
import { fsck } from '#lib/server/fsck/fsck.ts';
import { hashBytes } from '#lib/server/ingest/job-branches.ts';
import { OutsideCheckpoint } from '#lib/server/log/outside-checkpoint.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import type { CollectingServer } from '../support/a-collecting-server.ts';
import { aJob, linesOf } from '../support/a-job.ts';
import { maraKey } from '../support/a-record.ts';
import { emptyPlace } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

const ways: readonly (readonly [Kind, Kind])[] = [
  ['sqlite', 'sqlite'],
  ['postgres', 'postgres'],
  ['sqlite', 'postgres'],
];

describe.each(ways)('a backup from %s into %s', (fromKind, intoKind) => {
  let from: EmptyPlace;
  let into: EmptyPlace;
  let server: CollectingServer;
  let device: string;
  let file: string;

  const send = async (to: CollectingServer, lines: readonly Uint8Array[]) =>
    (await to.ingest.take(lines, device)).entries;
  /** Another database beside the data folder that the first one had. */
  const restored = async (): Promise<EmptyPlace> => {
    const backup = await Database.look({ kind: 'sqlite', file });
    const database = await Database.open(into.place);
    const { key } = server.log;
    const outside = new OutsideCheckpoint(from.folder);
    await restore(backup, { database, key, outside, now: () => server.clock.now });
    await backup.close();
    await database.close();
    return { ...from, place: into.place };
  };
  const failed = async ({ database, log }: CollectingServer) => {
    const outside = await new OutsideCheckpoint(from.folder).read();
    const { publicKey } = log.key;
    const report = await fsck({ rows: database.rows, publicKey, outside, held: [] });
    return report.checks.filter(({ status }) => status === 'failed');
  };

  beforeEach(async () => {
    from = await emptyPlace(fromKind);
    into = await emptyPlace(intoKind);
    file = join(from.folder, 'backup.sqlite');
    server = await startCollecting(from);
    ({ device } = await enrolCrew(server, { mara: maraKey }));
    await send(server, linesOf(await aJob(150)));
    await send(server, linesOf(await aJob(150)));
  });
  afterEach(async () => {
    await server.close();
    await from.remove();
    await into.remove();
  });

  test('holds what was stored; with nothing signed since, the log goes on', async () => {
    const report = await backUp(server.database, file, server.log.key.publicKey);
    expect(report).toMatchObject({ ok: true, entries: 300, jobs: 2 });
    const { origin } = server.log;
    await server.close();
    server = await startCollecting(await restored());
    expect(server.log.origin).toBe(origin);
    await send(server, linesOf(await aJob(5)));
    expect(await failed(server)).toEqual([]);
  });

  test('an older backup never goes on with the log: a new one begins, and nothing stays lost', async () => {
    await backUp(server.database, file, server.log.key.publicKey);
    const later = await aJob(5);
    const [receipt] = await send(server, linesOf(later));
    const oldKey = server.log.noteKey;
    const lost = await new OutsideCheckpoint(from.folder).read();
    await server.close();
    const place = await restored();
    server = await startCollecting(place);
    expect(server.log.origin).toBe('records.example/crew/2');
    const [begun] = await server.database.rows
      .selectFrom('leaves')
      .select('line')
      .orderBy('idx')
      .limit(1)
      .execute();
    expect(JSON.parse(new TextDecoder().decode(begun?.line))).toMatchObject({
      act: { type: 'log.begun', body: { after: new TextDecoder().decode(lost ?? undefined) } },
    });
    expect(await failed(server)).toEqual([]);
    // The device sends again, and the old receipt still stands by itself.
    const answers = await send(server, linesOf(later));
    expect(answers.map(({ status }) => status)).toEqual(later.map(() => 'accepted'));
    const leaf = hashBytes(later[0]?.hash ?? '');
    const old = receipt?.status === 'accepted' ? utf8(receipt.receipt) : new Uint8Array();
    expect(await openReceipt(old, leaf, [oldKey], nodePrimitives)).toMatchObject({ ok: true });
    expect(await failed(server)).toEqual([]);
  });

  test('a server over a database that was rolled back does not start, and restore says why', async () => {
    await backUp(server.database, file, server.log.key.publicKey);
    await send(server, linesOf(await aJob(5)));
    await server.close();
    // Put back by hand, without the ceremony.
    const backup = await Database.look({ kind: 'sqlite', file });
    const database = await Database.open(into.place);
    await database.alone((rows) => copyTables(backup.rows, rows));
    await backup.close();
    const place = { ...from, place: into.place };
    await expect(startCollecting(place)).rejects.toThrow('was rolled back or restored');
    const outside = new OutsideCheckpoint(from.folder);
    const { key } = server.log;
    expect(await goOn({ database, key, outside, now: () => 0 })).toMatchObject({
      newLog: true,
      origin: 'records.example/crew/2',
    });
    await database.close();
    server = await startCollecting(place);
    expect(await failed(server)).toEqual([]);
  });

  test('nothing is restored over records, and no backup is written over a file', async () => {
    await backUp(server.database, file, null);
    await expect(backUp(server.database, file, null)).rejects.toThrow('is there already');
    const backup = await Database.look({ kind: 'sqlite', file });
    const outside = new OutsideCheckpoint(from.folder);
    const { key } = server.log;
    const over = { database: server.database, key, outside, now: () => 0 };
    await expect(restore(backup, over)).rejects.toThrow('holds records already');
    await backup.close();
  });

  test('what was changed in the store is not carried into a backup', async () => {
    await server.database.rows
      .updateTable('leaves')
      .set({ line: utf8('{}') })
      .where('idx', '=', 20)
      .execute();
    expect(await backUp(server.database, file, null)).toMatchObject({ ok: false });
    expect(existsSync(file)).toBe(false);
    rmSync(file, { force: true });
  });
});
