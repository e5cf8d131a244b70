/** A file that goes into a bag: where, how long, and its bytes as often as they are asked for. */

export interface BagFile {
  /** Relative, forward slashes, plain ASCII. */
  readonly path: string;
  /** Bytes. */
  readonly size: number;
  /** The bytes from the beginning, in pieces of at most a few MiB; may be called again. */
  open(): AsyncIterable<Uint8Array> | Iterable<Uint8Array>;
}

export function fileOf(path: string, bytes: Uint8Array): BagFile {
  return { path, size: bytes.length, open: () => [bytes] };
}

/** All bytes of a file that is known to be small. */
export async function bytesOf(file: BagFile): Promise<Uint8Array> {
  const bytes = new Uint8Array(file.size);
  let at = 0;
  for await (const piece of file.open()) {
    if (at + piece.length > bytes.length)
      throw new RangeError(`${file.path} grew while it was read.`);
    bytes.set(piece, at);
    at += piece.length;
  }
  if (at !== bytes.length) throw new RangeError(`${file.path} shrank while it was read.`);
  return bytes;
}
