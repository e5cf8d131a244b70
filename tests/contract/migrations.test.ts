import { Kysely, sql } from 'kysely';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { Database } from '#lib/server/database/database.ts';
import { migrate, MIGRATIONS, pendingMigrations } from '#lib/server/database/migrate.ts';
import { postgresDialect, whyNotDurable } from '#lib/server/database/postgres-dialect.ts';
import { openSqliteFile, sqliteDialect } from '#lib/server/database/sqlite-dialect.ts';
import type { Tables } from '#lib/server/database/tables.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import { aJob, linesOf } from '../support/a-job.ts';
import { maraKey } from '../support/a-record.ts';
import { emptyPlace, kinds } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

describe.each(kinds)('the tables in %s', (kind) => {
  let place: EmptyPlace;
  /** Without the port, which would bring it up to date at once. */
  const bare = () =>
    new Kysely<Tables>({
      dialect:
        place.place.kind === 'sqlite'
          ? sqliteDialect(openSqliteFile(place.place.file))
          : postgresDialect(place.place.address, () => {}),
    });

  beforeEach(async () => (place = await emptyPlace(kind)));
  afterEach(() => place.remove());

  test.each(MIGRATIONS)('come forward from version %s, and work', async (version) => {
    const old = bare();
    await migrate(old, kind, version);
    await old.destroy();
    const server = await startCollecting(place);
    expect(await pendingMigrations(server.database.rows, kind)).toEqual([]);
    const { device } = await enrolCrew(server, { mara: maraKey });
    const { entries } = await server.ingest.take(linesOf(await aJob(3)), device);
    expect(entries.map(({ status }) => status)).toEqual(['accepted', 'accepted', 'accepted']);
    await server.close();
  });

  test('of a newer program are left alone', async () => {
    await (await Database.open(place.place)).close();
    const newer = bare();
    await sql`insert into kysely_migration (name, timestamp) values ('9999-later', '2030')`.execute(
      newer,
    );
    await newer.destroy();
    await expect(Database.open(place.place)).rejects.toThrow('newer version of this program');
  });

  test('are not made by looking', async () => {
    await expect(Database.look(place.place)).rejects.toThrow();
    const after = bare();
    expect(await pendingMigrations(after, kind)).toEqual(MIGRATIONS);
    await after.destroy();
  });

  test.runIf(kind === 'postgres')('two that open at once both find them whole', async () => {
    const both = await Promise.all([Database.open(place.place), Database.open(place.place)]);
    await Promise.all(both.map((one) => one.answers()));
    await Promise.all(both.map((one) => one.close()));
  });

  test('rest on commits that are durable', async () => {
    const rows = bare();
    if (kind === 'sqlite') {
      const shown = await sql<{ synchronous: number }>`pragma synchronous`.execute(rows);
      expect(shown.rows).toEqual([{ synchronous: 2 }]);
    } else {
      expect(await whyNotDurable(rows as unknown as Kysely<unknown>)).toBeNull();
    }
    await rows.destroy();
  });
});
