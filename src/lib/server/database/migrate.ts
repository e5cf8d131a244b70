/** Brings the tables of a database to what this program expects. Forward only. */
import { Migrator } from 'kysely/migration';
import type { Migration } from 'kysely/migration';
import type { Kind, Rows } from './database.ts';
import { beginnings } from './migrations/0001-beginnings.ts';
import { secondLooks } from './migrations/0002-second-looks.ts';
import { officePages } from './migrations/0003-office-pages.ts';
import { photosOfAJob } from './migrations/0004-photos-of-a-job.ts';
import { columnTypes } from './migrations/column-types.ts';
import type { Step } from './migrations/column-types.ts';

/** In order. A step that was ever released is never changed: the next one mends it. */
const STEPS: Readonly<Record<string, Step>> = {
  '0001-beginnings': beginnings,
  '0002-second-looks': secondLooks,
  '0003-office-pages': officePages,
  '0004-photos-of-a-job': photosOfAJob,
};

export const MIGRATIONS: readonly string[] = Object.keys(STEPS);

/**
 * All steps that are missing, or those up to `last`, in one transaction.
 * @throws Error with one sentence when a step fails, or the database is newer than this program
 */
export async function migrate(rows: Rows, kind: Kind, last?: string): Promise<void> {
  const migrator = migratorOf(rows, kind);
  const { error } =
    last === undefined ? await migrator.migrateToLatest() : await migrator.migrateTo(last);
  if (error === undefined) return;
  const says = error instanceof Error ? error.message : String(error);
  throw new Error(
    says.includes('corrupted migrations')
      ? 'The database was written by a newer version of this program. Nothing in it was changed. Start that version, or a later one.'
      : `The database could not be brought up to date, and was left as it was: ${says}`,
  );
}

/** Names of the steps that a database still lacks; changes nothing. */
export async function pendingMigrations(rows: Rows, kind: Kind): Promise<string[]> {
  const migrations = await migratorOf(rows, kind).getMigrations();
  return migrations.filter(({ executedAt }) => executedAt === undefined).map(({ name }) => name);
}

function migratorOf(rows: Rows, kind: Kind): Migrator {
  const provider = { getMigrations: () => Promise.resolve(migrationsFor(kind)) };
  return new Migrator({ db: rows, provider });
}

function migrationsFor(kind: Kind): Record<string, Migration> {
  const types = columnTypes[kind];
  return Object.fromEntries(
    Object.entries(STEPS).map(([name, step]) => [name, { up: (db) => step(db.schema, types) }]),
  );
}
