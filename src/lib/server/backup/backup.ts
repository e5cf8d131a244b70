/**
 * A backup is one SQLite file, whichever database it was taken from, so that it can be restored into
 * either. The signing key of the log is not in it: that is kept elsewhere.
 */
import { existsSync, renameSync, rmSync } from 'node:fs';
import { sql } from 'kysely';
import { Database } from '../database/database.ts';
import { fsck } from '../fsck/fsck.ts';
import type { FsckReport } from '../fsck/report.ts';
import { copyTables, LEFT_BEHIND } from './copy-tables.ts';

/**
 * Takes a backup of a database that may be in use, and verifies the copy.
 * @param file must not be there yet; it is only when the copy holds
 * @throws Error with one plain sentence when the file is there, or cannot be written
 */
export async function backUp(
  from: Database,
  file: string,
  publicKey: Uint8Array | null,
): Promise<FsckReport> {
  if (existsSync(file))
    throw new Error(`${file} is there already, and is left as it is. Choose another name.`);
  const half = `${file}.half`;
  const removeHalf = () => {
    for (const end of ['', '-wal', '-shm']) rmSync(`${half}${end}`, { force: true });
  };
  removeHalf();
  try {
    await copyOut(from, half);
    const copy = await Database.look({ kind: 'sqlite', file: half });
    const report = await fsck({ rows: copy.rows, publicKey, outside: null, held: [] });
    await copy.close();
    if (report.ok) renameSync(half, file);
    return report;
  } finally {
    removeHalf();
  }
}

async function copyOut(from: Database, file: string): Promise<void> {
  if (from.kind === 'sqlite') {
    // Reads one state of the file while others go on writing.
    await sql`vacuum into ${file}`.execute(from.rows);
    const copy = await Database.look({ kind: 'sqlite', file });
    for (const table of LEFT_BEHIND) await copy.rows.deleteFrom(table).execute();
    return copy.close();
  }
  const copy = await Database.open({ kind: 'sqlite', file });
  try {
    await from.rows
      .transaction()
      .setIsolationLevel('repeatable read')
      .setAccessMode('read only')
      .execute((rows) => copy.alone((into) => copyTables(rows, into)));
  } finally {
    await copy.close();
  }
}
