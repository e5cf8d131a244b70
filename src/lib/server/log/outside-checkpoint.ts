/**
 * The last signed checkpoint, kept in a file outside the database: a database that was rolled back
 * cannot take it along.
 */
import { open, readFile, rename } from 'node:fs/promises';
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

  /** On the disk when it resolves; after a crash it is the old note or the new one, whole. */
  async write(note: string): Promise<void> {
    const half = `${this.path}.${process.pid}`;
    const file = await open(half, 'w', 0o600);
    try {
      await file.writeFile(note);
      await file.datasync();
    } finally {
      await file.close();
    }
    await rename(half, this.path);
    await syncFolder(dirname(this.path));
  }
}

async function syncFolder(path: string): Promise<void> {
  // Windows cannot open a folder, and makes the new name durable by itself.
  if (process.platform === 'win32') return;
  const folder = await open(path, 'r');
  try {
    await folder.datasync();
  } finally {
    await folder.close();
  }
}
