/**
 * From stored bytes back to a job, believing nothing: every line is read strictly, its chain and the
 * listed head are compared, and only then is it folded.
 */
import type { JobEvent } from '#lib/core/job/events.ts';
import { checkedNext, digestOf, readDisclosure, readLine } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import type { DisclosureRow } from './schema.ts';
import type { StoredJob } from './store.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

/** An entry as it stands in the record, and what it says happened. */
export interface Recorded {
  readonly sealed: SealedEntry;
  readonly event: JobEvent;
}

/** A private value that is still kept, and the entry that holds its digest. */
export interface Disclosed {
  readonly seq: number;
  readonly digest: string;
  readonly name: string;
  readonly value: string;
}

/** The entries of a stored job: `damaged` when a line is missing, changed or not readable. */
export function readEntries(stored: StoredJob): Result<readonly Recorded[]> {
  const { row, lines } = stored;
  const entries: Recorded[] = [];
  for (const line of lines) {
    const last = entries.at(-1)?.sealed ?? null;
    const read = readLine(line, purePrimitives);
    const next = read.ok ? checkedNext(last, read.value) : read;
    if (!next.ok) return damaged(row.job, `Entry ${entries.length}: ${next.flaw.says}`);
    if (next.value.entry.job !== row.job) {
      return damaged(row.job, `Entry ${entries.length} belongs to another job.`);
    }
    entries.push({ sealed: next.value, event: eventOf(next.value) });
  }
  if (entries.length !== row.count || entries.at(-1)?.sealed.hash !== row.head) {
    return damaged(
      row.job,
      `${entries.length} of ${row.count} entries are there, or the last is not the one listed as last.`,
    );
  }
  return done(entries);
}

function damaged(job: string, what: string): Result<never> {
  return failed(
    'damaged',
    `The stored record of job ${job} does not read back as it was written. ${what} It is kept as it is; nothing was changed or deleted. Export it as it stands, and go on in a new job.`,
  );
}

/** The event of an entry. The chain vouches that this program, or an earlier one, wrote its body. */
export function eventOf({ entry }: SealedEntry): JobEvent {
  const { at, body, boot, by, mono, type } = entry;
  return { at, body, boot, by, mono, type } as unknown as JobEvent;
}

/** The private values still kept of these entries; rows that fit no digest of their entry are passed over. */
export function readDisclosures(
  rows: readonly DisclosureRow[],
  entries: readonly Recorded[],
): readonly Disclosed[] {
  return rows
    .flatMap((row): Disclosed[] => {
      const digests = entries[row.seq]?.sealed.entry._sd ?? [];
      if (!digests.includes(digestOf(row.disclosure, purePrimitives))) return [];
      const read = readDisclosure(row.disclosure, purePrimitives);
      if (!read.ok || typeof read.value.value !== 'string') return [];
      const { digest, name, value } = read.value;
      return [{ seq: row.seq, digest, name, value }];
    })
    .sort((a, b) => a.seq - b.seq || (a.name < b.name ? -1 : 1));
}
