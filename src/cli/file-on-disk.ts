// Files on disk as the core takes them: read in pieces, or at a place, never whole.
import { closeSync, openSync, readSync, statSync } from 'node:fs';
import type { BagFile } from '../lib/core/bag/bag-file.ts';
import type { ByteSource } from '../lib/core/bag/source.ts';

const PIECE = 512 * 1024;

/** A file under the name it has in a bag. */
export function fileOnDisk(path: string, file: string): BagFile {
  const { size } = statSync(file);
  return {
    path,
    size,
    *open() {
      const handle = openSync(file, 'r');
      try {
        for (let read = 1; read > 0;) {
          const bytes = new Uint8Array(PIECE);
          read = readSync(handle, bytes);
          if (read > 0) yield bytes.subarray(0, read);
        }
      } finally {
        closeSync(handle);
      }
    },
  };
}

/** A file that is read at places; `close` when done. */
export function sourceOnDisk(file: string): ByteSource & { close(): void } {
  const handle = openSync(file, 'r');
  const { size } = statSync(file);
  return {
    size,
    read(offset, length) {
      const bytes = new Uint8Array(length);
      for (let at = 0; at < length;) {
        const read = readSync(handle, bytes, at, length - at, offset + at);
        if (read === 0) throw new Error(`${file} became shorter while it was read.`);
        at += read;
      }
      return bytes;
    },
    close: () => closeSync(handle),
  };
}
