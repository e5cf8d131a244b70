import { existsSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { utf8 } from '#lib/core/record/index.ts';
import { Database } from '#lib/server/database/database.ts';
import { run } from '../../src/cli/main.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import { aJob, linesOf } from '../support/a-job.ts';
import { maraKey } from '../support/a-record.ts';
import { heard } from '../support/heard.ts';
import { emptyPlace, kinds } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

describe.each(kinds)('the verbs for a store in %s', (kind) => {
  let place: EmptyPlace;
  let flags: string[];
  let receipt: string;

  const said = async (...args: string[]) => {
    const ears = heard();
    const status = await run([...args, ...flags, '--json'], ears.io);
    return { status, document: ears.documents[0] };
  };

  beforeEach(async () => {
    place = await emptyPlace(kind);
    flags = ['--data', place.folder];
    if (place.place.kind === 'postgres') flags.push('--database', place.place.address);
    const server = await startCollecting(place);
    const { device } = await enrolCrew(server, { mara: maraKey });
    const { entries } = await server.ingest.take(linesOf(await aJob(12)), device);
    receipt = entries[0]?.status === 'accepted' ? entries[0].receipt : '';
    await server.close();
  });
  afterEach(() => place.remove());

  test('fsck tells every check, and exits 0 while all of them hold', async () => {
    const held = join(place.folder, 'kept.tlog-proof');
    writeFileSync(held, receipt);
    const { status, document } = await said('fsck', '--held', held);
    expect(status).toBe(0);
    expect(document).toMatchObject({ ok: true, entries: 12, jobs: 1 });
    const { checks } = document as { checks: { id: string; status: string }[] };
    expect(checks.every((check) => check.status === 'held')).toBe(true);
    const ears = heard();
    await run(['fsck', ...flags], ears.io);
    expect(ears.printed.at(-1)).toBe('Everything that was looked at holds.');
  });

  test('fsck exits 1 over a store that was changed, and names the leaf', async () => {
    const database = await Database.look(place.place);
    const { rows } = database;
    await rows
      .updateTable('leaves')
      .set({ line: utf8('{}') })
      .where('idx', '=', 7)
      .execute();
    await database.close();
    const ears = heard();
    expect(await run(['fsck', ...flags], ears.io)).toBe(1);
    expect(ears.printed.join('\n')).toContain('Leaf 7 is not the bytes that its hash names.');
  });

  test('backup and restore carry everything into an empty database', async () => {
    const file = join(place.folder, 'backup.sqlite');
    expect(await said('backup', file)).toMatchObject({ status: 0, document: { entries: 12 } });
    expect(await said('backup', file)).toMatchObject({ status: 2 });
    expect(await said('restore', file)).toMatchObject({
      status: 2,
      document: { error: expect.stringContaining('holds records already') },
    });
    const other = await emptyPlace(kind);
    // The data folder goes along: key and last checkpoint are in it.
    for (const name of ['log-key', 'last-checkpoint'])
      writeFileSync(join(other.folder, name), readFileSync(join(place.folder, name)));
    flags = ['--data', other.folder];
    if (other.place.kind === 'postgres') flags.push('--database', other.place.address);
    expect(await said('restore', file)).toMatchObject({ status: 0, document: { newLog: false } });
    expect(await said('fsck')).toMatchObject({ status: 0, document: { entries: 12 } });
    await other.remove();
  });

  test('what is missing is named, and nothing is made in its place', async () => {
    expect(await said('fsck', 'more')).toMatchObject({ status: 2 });
    expect(await said('backup')).toMatchObject({ status: 2 });
    const key = join(place.folder, 'log-key');
    renameSync(key, `${key}.away`);
    expect(await said('restore')).toMatchObject({
      status: 2,
      document: { error: expect.stringContaining('is not there') },
    });
    expect(existsSync(key)).toBe(false);
    rmSync(place.folder, { recursive: true });
    flags = ['--data', place.folder];
    expect(await said('fsck')).toMatchObject({ status: 2 });
    expect(existsSync(place.folder)).toBe(false);
  });
});
