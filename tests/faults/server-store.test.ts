/**
 * The server's storage fails at the Nth operation, for every N of an ingest: a statement that fails, the
 * checkpoint file outside the database that cannot be written, a disk that is full. Whatever was answered
 * before holds; what was not is taken when it is sent again; the check of the store finds nothing.
 */
import { syncBuiltinESMExports } from 'node:module';
import fs from 'node:fs';
import { StatementSync } from 'node:sqlite';
import { sql } from 'kysely';
import { afterEach, describe, expect, test } from 'vitest';
import { openReceipt } from '#lib/core/record/receipt.ts';
import { utf8 } from '#lib/core/record/bytes.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { fsck } from '#lib/server/fsck/fsck.ts';
import { hashBytes } from '#lib/server/ingest/job-branches.ts';
import { OutsideCheckpoint } from '#lib/server/log/outside-checkpoint.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import type { CollectingServer } from '../support/a-collecting-server.ts';
import { freshJobId, longer } from '../support/a-job.ts';
import { aRecord, maraKey } from '../support/a-record.ts';
import { emptyPlace } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

const entries = await aRecord(12);
const lines = entries.map(({ line }) => line);
const [before, batch] = [lines.slice(0, 5), lines.slice(5)];

type Ways = 'all' | 'run' | 'get';
const honest = {
  all: StatementSync.prototype.all,
  run: StatementSync.prototype.run,
  get: StatementSync.prototype.get,
};
const outside = {
  writeSync: fs.writeSync,
  fdatasyncSync: fs.fdatasyncSync,
  renameSync: fs.renameSync,
};

function mend(): void {
  Object.assign(StatementSync.prototype, honest);
  Object.assign(fs, outside);
  syncBuiltinESMExports();
}
afterEach(mend);

/** From the `at`th operation on (counted from 1) the database answers nothing; tells how many were asked. */
function failFrom(at: number, only: 'once' | 'on'): { asked: number } {
  const count = { asked: 0 };
  for (const way of ['all', 'run', 'get'] as const satisfies Ways[]) {
    const does = honest[way] as (this: StatementSync, ...given: unknown[]) => unknown;
    (StatementSync.prototype as unknown as Record<Ways, unknown>)[way] = function (
      this: StatementSync,
      ...given: unknown[]
    ) {
      count.asked += 1;
      // Undoing is not what fails: SQLite does it by itself when the file is opened again.
      const undoing = /^rollback/i.test(this.sourceSQL);
      if (!undoing && (only === 'once' ? count.asked === at : count.asked >= at))
        throw Object.assign(new Error('disk I/O error'), { errcode: 10 });
      return does.apply(this, given);
    };
  }
  return count;
}

/** Everything that was answered stands, everything else is taken now, and the check of the store is clean. */
async function expectWhole(place: EmptyPlace, device: string, promised: Map<string, string>) {
  const server = await startCollecting(place);
  try {
    const { entries: answers } = await server.ingest.take(lines, device);
    expect(answers.map(({ status }) => status)).not.toContain('rejected');
    expect(answers.map(({ status }) => status)).not.toContain('forked');
    for (const answer of answers) {
      if (answer.status === 'rejected') continue;
      const told = promised.get(answer.hash);
      if (told !== undefined) expect(answer).toMatchObject({ status: 'duplicate', receipt: told });
      const opened = await openReceipt(
        utf8(answer.receipt),
        hashBytes(answer.hash),
        [server.log.noteKey],
        nodePrimitives,
      );
      expect(opened).toMatchObject({ ok: true });
    }
    const report = await fsck({
      rows: server.database.rows,
      publicKey: server.log.key.publicKey,
      outside: await new OutsideCheckpoint(place.folder).read(),
      held: [],
    });
    expect(report.checks.filter(({ status }) => status === 'failed')).toEqual([]);
    expect(report.entries).toBe(lines.length);
  } finally {
    await server.close();
  }
}

/** A server that has taken the first entries, with what it answered. */
async function begun(place: EmptyPlace) {
  const server = await startCollecting(place);
  const { device } = await enrolCrew(server, { mara: maraKey });
  const promised = new Map<string, string>();
  const { entries: answers } = await server.ingest.take(before, device);
  for (const answer of answers)
    if (answer.status === 'accepted') promised.set(answer.hash, answer.receipt);
  expect(promised.size).toBe(before.length);
  return { server, device, promised };
}

/** Takes the batch while something fails; what is answered all the same is a promise too. */
async function taken(
  server: CollectingServer,
  device: string,
  promised: Map<string, string>,
): Promise<'answered' | 'failed'> {
  try {
    const { entries: answers } = await server.ingest.take(batch, device);
    for (const answer of answers)
      if (answer.status === 'accepted') promised.set(answer.hash, answer.receipt);
    return 'answered';
  } catch {
    return 'failed';
  }
}

describe.each(['once', 'on'] as const)('a database that fails at one operation, %s', (only) => {
  test(
    'whichever it is, no promise is broken and nothing is lost',
    { timeout: 300_000 },
    async () => {
      let operations = Number.POSITIVE_INFINITY;
      let failed = 0;
      for (let at = 1; at <= operations; at += 1) {
        const place = await emptyPlace('sqlite');
        try {
          const { server, device, promised } = await begun(place);
          const count = failFrom(at, only);
          const came = await taken(server, device, promised);
          mend();
          if (came === 'failed') failed += 1;
          else operations = Math.min(operations, Math.max(at, count.asked));
          await server.close().catch(() => {});
          await expectWhole(place, device, promised);
        } finally {
          mend();
          await place.remove();
        }
      }
      expect(failed).toBeGreaterThan(5);
    },
  );
});

describe.each(['writeSync', 'fdatasyncSync', 'renameSync'] as const)(
  'the checkpoint outside the database, when %s fails',
  (call) => {
    test('is not promised upon, and the log goes on afterwards', async () => {
      const place = await emptyPlace('sqlite');
      try {
        const { server, device, promised } = await begun(place);
        (fs as unknown as Record<string, unknown>)[call] = () => {
          throw Object.assign(new Error('no space left on device'), { code: 'ENOSPC' });
        };
        syncBuiltinESMExports();
        expect(await taken(server, device, promised)).toBe('failed');
        mend();
        await server.close().catch(() => {});
        await expectWhole(place, device, promised);
      } finally {
        mend();
        await place.remove();
      }
    });
  },
);

test('a full disk is refused in the act, and what was sent is taken when there is room', async () => {
  const place = await emptyPlace('sqlite');
  try {
    const { server, device, promised } = await begun(place);
    const { rows } = server.database;
    const { rows: pages } = await sql<{ page_count: number }>`pragma page_count`.execute(rows);
    const [{ page_count: used }] = pages as [{ page_count: number }];
    // SQLite itself answers SQLITE_FULL beyond this.
    await sql`pragma max_page_count = ${sql.raw(String(used))}`.execute(rows);
    const long = (await longer([], 150, freshJobId(), maraKey, 'mara')).map(({ line }) => line);
    await expect(server.ingest.take(long, device)).rejects.toThrow(/full/);
    await server.close();
    await expectWhole(place, device, promised);
    const roomy = await startCollecting(place);
    const { entries: answers } = await roomy.ingest.take(long, device);
    expect(new Set(answers.map(({ status }) => status))).toEqual(new Set(['accepted']));
    await roomy.close();
  } finally {
    await place.remove();
  }
});
