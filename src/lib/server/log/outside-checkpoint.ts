/**
 * The last signed checkpoint, kept in a file outside the database: a database that was rolled back
 * cannot take it along.
 */
import { closeSync, fdatasyncSync, openSync, renameSync, writeSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';

const NAME = 'last-checkpoint';

export class OutsideCheckpoint {
  readonly path: string;

  /** @param folder must exist */
  constructor(folder: string) {
    this.path = join(folder, NAME);
  }

  /** The note as it was signed; null when none was ever kept here. */
  async read(): Promise<Uint8Array | null> {
    try {
      return await readFile(this.path);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
      throw error;
    }
  }

  /**
   * On the disk when it returns; after a crash it is the old note or the new one, whole.
   *
   * Not in the background: there it would wait behind the signatures that are being checked, eight times.
   */
  write(note: string): void {
    const half = `${this.path}.${process.pid}`;
    const file = openSync(half, 'w', 0o600);
    try {
      writeSync(file, note);
      fdatasyncSync(file);
    } finally {
      closeSync(file);
    }
    renameSync(half, this.path);
    syncFolder(dirname(this.path));
  }
}

function syncFolder(path: string): void {
  // Windows cannot open a folder, and makes the new name durable by itself.
  if (process.platform === 'win32') return;
  const folder = openSync(path, 'r');
  try {
    fdatasyncSync(folder);
  } finally {
    closeSync(folder);
  }
}
