import { sql } from 'kysely';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { base64url, keyChangeMessage, utf8 } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import { keyOfSeed } from '#lib/crypto/node.ts';
import { changeKey, revokeDevice, revokeKey } from '#lib/server/devices/end-keys.ts';
import { fsck } from '#lib/server/fsck/fsck.ts';
import type { FsckCheckId } from '#lib/server/fsck/report.ts';
import { lastCheckpoint } from '#lib/server/log/organisation-log.ts';
import { OutsideCheckpoint } from '#lib/server/log/outside-checkpoint.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import type { CollectingServer } from '../support/a-collecting-server.ts';
import { aJob } from '../support/a-job.ts';
import { entryFields, maraKey, sealNext, tomasKey } from '../support/a-record.ts';
import { emptyPlace, kinds } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

describe.each(kinds)('the check of a store in %s', (kind) => {
  let place: EmptyPlace;
  let server: CollectingServer;
  let device: string;

  const failed = async (held: readonly Uint8Array[] = []): Promise<FsckCheckId[]> => {
    const report = await fsck({
      rows: server.database.rows,
      publicKey: server.log.key.publicKey,
      outside: await new OutsideCheckpoint(place.folder).read(),
      held: held.map((bytes, at) => ({ name: `held ${at}`, bytes })),
    });
    return report.checks.filter(({ status }) => status === 'failed').map(({ id }) => id);
  };
  const send = async (sealed: readonly SealedEntry[]) =>
    (
      await server.ingest.take(
        sealed.map(({ line }) => line),
        device,
      )
    ).entries;
  const checkpoint = async () => utf8((await lastCheckpoint(server.database.rows))?.note ?? '');

  beforeEach(async () => {
    place = await emptyPlace(kind);
    server = await startCollecting(place);
    ({ device } = await enrolCrew(server, { mara: maraKey, tomas: tomasKey }));
  });
  afterEach(async () => {
    await server.close();
    await place.remove();
  });

  test('finds nothing in what ingest has stored, tiles beyond the first included', async () => {
    for (let at = 0; at < 4; at += 1) await send(await aJob(150));
    const held = await checkpoint();
    const record = await aJob(4);
    await send(record);
    // A fork is no damage.
    const other = [...record.slice(0, 2)];
    const { job } = record[0]!.entry;
    other.push(await sealNext(other, entryFields('amended', { about: 'x' }, { job })));
    await send(other);
    expect(await failed([held])).toEqual([]);
  });

  test('knows keys as the tree has them: changed, revoked, ended with their device', async () => {
    const ground = { log: server.log, now: () => server.clock.now };
    const next = keyOfSeed(new Uint8Array(32).fill(21));
    const message = keyChangeMessage({ from: maraKey.key, person: 'mara', to: next.key });
    const before = await aJob(3);
    await send(before);
    const proof = (key: typeof next) => base64url(key.sign(message) as Uint8Array);
    const changed = await changeKey(
      ground,
      {
        person: 'mara',
        from: maraKey.key,
        publicKey: base64url(next.publicKey),
        oldProof: proof(maraKey),
        newProof: proof(next),
      },
      device,
    );
    expect(changed).toMatchObject({ ok: true });
    const { job } = before[0]!.entry;
    const after = await sealNext(before, entryFields('amended', {}, { job }), next);
    const late = await sealNext([...before, after], entryFields('amended', {}, { job }));
    expect((await send([after, late])).map(({ status }) => status)).toEqual([
      'accepted',
      'accepted',
    ]);
    const flags = await server.database.rows.selectFrom('flags').select('code').execute();
    expect(flags).toEqual([{ code: 'late-key' }]);
    expect(await revokeKey(ground, tomasKey.key, 'lost', 'a-one')).toMatchObject({ ok: true });
    expect(await revokeKey(ground, tomasKey.key, 'lost', 'a-one')).toMatchObject({
      ok: false,
      code: 'no-such-key',
    });
    expect(await revokeDevice(ground, device, 'stolen', 'a-one')).toMatchObject({ ok: true });
    expect(await failed()).toEqual([]);
  });

  test.each<[string, (server: CollectingServer) => Promise<unknown>, FsckCheckId[]]>([
    [
      'an entry is changed',
      ({ database: { rows } }) =>
        rows
          .updateTable('leaves')
          .set({ line: utf8('{}') })
          .where('idx', '=', 9)
          .execute(),
      ['leaves', 'entries', 'chains', 'jobs', 'tiles', 'checkpoints', 'outside'],
    ],
    [
      'the time in a column is changed',
      ({ database: { rows } }) =>
        rows.updateTable('leaves').set({ at: 5 }).where('idx', '=', 9).execute(),
      ['leaves'],
    ],
    [
      'a whole job is dropped',
      async ({ database: { rows } }) => {
        const { no } = await rows.selectFrom('jobs').select('no').executeTakeFirstOrThrow();
        await rows.deleteFrom('leaves').where('job_no', '=', no).execute();
        await rows.deleteFrom('jobs').where('no', '=', no).execute();
      },
      ['leaves', 'tiles', 'checkpoints', 'outside'],
    ],
    [
      'the end is cut off, tidily',
      async ({ database: { rows } }) => {
        await rows.deleteFrom('leaves').where('idx', '>=', 12).execute();
        await rows.updateTable('tree').set({ size: 12 }).execute();
      },
      ['jobs', 'tiles', 'checkpoints', 'outside'],
    ],
    [
      'a job is listed as ended',
      ({ database: { rows } }) => rows.updateTable('jobs').set({ status: 'handedBack' }).execute(),
      ['jobs'],
    ],
    [
      'a key is given to another person',
      ({ database: { rows } }) =>
        rows.updateTable('keys').set({ person: 'tomas' }).where('person', '=', 'mara').execute(),
      ['keys'],
    ],
    [
      'a tile is torn',
      ({ database: { rows } }) =>
        rows
          .updateTable('tiles')
          .set({ hashes: new Uint8Array(64) })
          .execute(),
      ['tiles'],
    ],
    [
      'a checkpoint is rewritten',
      ({ database: { rows } }) =>
        rows.updateTable('checkpoints').set({ note: 'x' }).where('size', '=', 1).execute(),
      ['checkpoints'],
    ],
  ])('finds it when %s', async (_, tamper, checks) => {
    await send(await aJob(6));
    await send(await aJob(6));
    await tamper(server);
    expect(await failed()).toEqual(checks);
  });

  test('a log rewritten and signed anew throughout is found by who held an old checkpoint', async () => {
    await send(await aJob(6));
    const held = await checkpoint();
    // The operator has the key of the log, begins again without the job, and puts the file in place too.
    const { rows } = server.database;
    for (const table of ['checkpoints', 'tiles', 'leaves', 'jobs', 'keys'] as const)
      await rows.deleteFrom(table).execute();
    await sql`delete from devices`.execute(rows);
    await rows.updateTable('tree').set({ size: 0 }).execute();
    await server.close();
    const outside = new OutsideCheckpoint(place.folder);
    await import('node:fs/promises').then(({ rm }) => rm(outside.path));
    server = await startCollecting(place);
    await server.log.act('log.begun', { origin: server.log.origin }, 'server');
    ({ device } = await enrolCrew(server, { mara: maraKey, tomas: tomasKey }));
    await send(await aJob(6));
    expect(await failed()).toEqual([]);
    expect(await failed([held])).toEqual(['held']);
  });
});
