/** Where the bytes of an archive come from: memory, or anything that can be read at a place. */

export interface ByteSource {
  readonly size: number;
  /** Exactly the bytes [offset, offset + length), which lie inside the source. */
  read(offset: number, length: number): Uint8Array | Promise<Uint8Array>;
}

export function sourceOf(bytes: Uint8Array): ByteSource {
  return { size: bytes.length, read: (offset, length) => bytes.subarray(offset, offset + length) };
}

/** Bytes read at a time: enough to hash at full speed, little enough to hold many times over. */
const STRIDE = 64 * 1024;

export async function* readRange(
  source: ByteSource,
  offset: number,
  length: number,
): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < length; at += STRIDE) {
    yield await source.read(offset + at, Math.min(STRIDE, length - at));
  }
}
