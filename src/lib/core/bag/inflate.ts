/**
 * Inflating (RFC 1951) piece by piece, through the web platform's own stream.
 *
 * The stream gives a few KiB at a time and waits for its reader, so that a bomb costs no more memory
 * than anything else and stops when the reader stops; bytes behind the end of the data are refused.
 */

// A pure function in the shape of a stream, in every runtime; core is compiled without its types.
interface Reading {
  read(): Promise<{ readonly done: boolean; readonly value?: Uint8Array }>;
  cancel(): Promise<void>;
}
interface Writing {
  write(bytes: Uint8Array): Promise<void>;
  close(): Promise<void>;
}
declare const DecompressionStream: {
  new (format: 'deflate-raw'): {
    readonly readable: { getReader(): Reading };
    readonly writable: { getWriter(): Writing };
  };
};

/** @throws whatever the platform throws for data that is broken, cut, or followed by more */
export async function* inflated(packed: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  const stream = new DecompressionStream('deflate-raw');
  const reader = stream.readable.getReader();
  const fed = feed(packed, stream.writable.getWriter());
  // Awaited below; until then a broken stream must not count as unhandled.
  fed.catch(() => undefined);
  let finished = false;
  try {
    for (let next = await reader.read(); !next.done; next = await reader.read()) {
      if (next.value !== undefined) yield next.value;
    }
    await fed;
    finished = true;
  } finally {
    if (!finished) await reader.cancel().catch(() => undefined);
  }
}

async function feed(packed: AsyncIterable<Uint8Array>, writer: Writing): Promise<void> {
  for await (const bytes of packed) await writer.write(bytes);
  await writer.close();
}
