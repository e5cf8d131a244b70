/** The body of a batch: lines of a record, each ended by a line feed. */
import { linesOf } from '#lib/core/record/index.ts';

export const MOST_ENTRIES_IN_BATCH = 200;
export const LARGEST_BATCH = 1024 * 1024;

export type Batch =
  | { readonly ok: true; readonly lines: readonly Uint8Array[] }
  | { readonly ok: false; readonly code: 'too-large' | 'bad-batch'; readonly says: string };

/** Splits a body into its lines; reads none of them. */
export function readBatch(body: Uint8Array): Batch {
  if (body.length > LARGEST_BATCH)
    return tooLarge(`The batch is larger than ${LARGEST_BATCH} bytes.`);
  if (body.length === 0)
    return { ok: false, code: 'bad-batch', says: 'The batch is empty. Nothing was stored.' };
  if (body.at(-1) !== 0x0a)
    return {
      ok: false,
      code: 'bad-batch',
      says: 'The last line of the batch is not ended by a line feed: it may have been cut. Nothing was stored. Send it again.',
    };
  const lines: Uint8Array[] = [];
  for (const line of linesOf(body)) {
    if (lines.length === MOST_ENTRIES_IN_BATCH)
      return tooLarge(`The batch holds more than ${MOST_ENTRIES_IN_BATCH} entries.`);
    lines.push(line);
  }
  return { ok: true, lines };
}

function tooLarge(why: string): Batch {
  return {
    ok: false,
    code: 'too-large',
    says: `${why} Nothing was stored. Send it in smaller batches.`,
  };
}
