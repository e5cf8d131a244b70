/**
 * The chain of a record: order, links, and the manifest that closes it.
 *
 * Invariant: an accepted chain has one job, one program, one rule set, `seq` 0, 1, 2 … and every `prev`
 * equal to the hash of the line before.
 */
import type { Json } from './canonical.ts';
import { NO_PREV } from './entry.ts';
import { flawed, good } from './outcome.ts';
import type { Outcome } from './outcome.ts';
import type { Primitives } from './primitives.ts';
import { readLine } from './sealed.ts';
import type { Head, SealedEntry } from './sealed.ts';

export const MOST_ENTRIES = 100_000;

export function headOf(sealed: SealedEntry): Head {
  return { seq: sealed.entry.seq, hash: sealed.hash };
}

/** May this entry come directly after that one (null: at the very beginning)? */
export function checkedNext(last: SealedEntry | null, next: SealedEntry): Outcome<SealedEntry> {
  const ordered = checkedOrder(last, next);
  return ordered.ok ? checkedLink(last, next) : ordered;
}

/** The order alone: job, numbers, first and only opening, and what may not change within a job. */
export function checkedOrder(last: SealedEntry | null, next: SealedEntry): Outcome<SealedEntry> {
  const { entry } = next;
  const due = last === null ? 0 : last.entry.seq + 1;
  if (entry.seq !== due) {
    return flawed(
      'out-of-order',
      `Entry ${entry.seq} stands where entry ${due} belongs: something was removed, added or moved.`,
    );
  }
  if (due >= MOST_ENTRIES)
    return flawed('too-many', `A job holds at most ${MOST_ENTRIES} entries.`);
  if ((entry.type === 'job.opened') !== (due === 0)) {
    return flawed('out-of-order', 'A record begins with “job.opened”, and has it only there.');
  }
  if (last === null) return good(next);
  if (entry.job !== last.entry.job) {
    return flawed('other-job', `Entry ${entry.seq} belongs to another job, ${entry.job}.`);
  }
  if (entry.app !== last.entry.app || entry.rules !== last.entry.rules) {
    return flawed(
      'changed-program',
      `At entry ${entry.seq} the program or its rules changed within the job, which they never may.`,
    );
  }
  return good(next);
}

/** The link alone: `prev` is the hash of the line before. */
export function checkedLink(last: SealedEntry | null, next: SealedEntry): Outcome<SealedEntry> {
  if (next.entry.prev === (last?.hash ?? NO_PREV)) return good(next);
  return flawed(
    'broken-chain',
    `Entry ${next.entry.seq} does not follow from the line before it: that line, or this one, was changed.`,
  );
}

const LINE_FEED = 0x0a;

/** The lines of `record.jsonl`, each ended by a line feed; `null` in the end slot if the last is not. */
export function* linesOf(bytes: Uint8Array): Generator<Uint8Array, boolean> {
  let from = 0;
  while (from < bytes.length) {
    const to = bytes.indexOf(LINE_FEED, from);
    if (to === -1) {
      yield bytes.subarray(from);
      return false;
    }
    yield bytes.subarray(from, to);
    from = to + 1;
  }
  return true;
}

/** Reads and chains a whole record; stops at the first flaw and says in which line it is. */
export function readRecord(
  bytes: Uint8Array,
  primitives: Pick<Primitives, 'sha256'>,
): Outcome<readonly SealedEntry[]> {
  const sealed: SealedEntry[] = [];
  if (bytes.length > 0 && bytes[bytes.length - 1] !== LINE_FEED) {
    return flawed('bad-encoding', 'The last line of the record is not ended by a line feed.');
  }
  for (const line of linesOf(bytes)) {
    const read = readLine(line, primitives);
    const next = read.ok ? checkedNext(sealed.at(-1) ?? null, read.value) : read;
    if (!next.ok) return flawed(next.flaw.code, `Line ${sealed.length + 1}: ${next.flaw.says}`);
    sealed.push(next.value);
  }
  return good(sealed);
}

/** What `job.closed` says about everything before it. */
export interface Manifest {
  /** How many entries come before the closing one. */
  readonly entries: number;
  /** Hash of the last of them, hex. */
  readonly head: string;
  /** Thumbprints of every key that signed, the closing one included; sorted. */
  readonly keys: readonly string[];
  /** SHA-256 of every photo named, hex; sorted. */
  readonly photos: readonly string[];
}

/** The manifest for a closing entry signed by `closingKey`, or null before there is any entry. */
export function manifestOf(sealed: readonly SealedEntry[], closingKey: string): Manifest | null {
  const last = sealed.at(-1);
  if (last === undefined) return null;
  const keys = new Set(sealed.map(({ entry }) => entry.key)).add(closingKey);
  const photos = new Set(sealed.flatMap(({ entry }) => photosNamed(entry.body)));
  return {
    entries: sealed.length,
    head: last.hash,
    keys: [...keys].sort(),
    photos: [...photos].sort(),
  };
}

/** Every photo that a body names: the texts under `photo` and in the lists under `photos`. */
export function photosNamed(body: Json): string[] {
  if (typeof body !== 'object' || body === null) return [];
  if (Array.isArray(body)) return (body as readonly Json[]).flatMap(photosNamed);
  return Object.entries(body as { readonly [name: string]: Json }).flatMap(([name, value]) => {
    if (name === 'photo' && typeof value === 'string') return [value];
    if (name === 'photos' && Array.isArray(value)) {
      return (value as readonly Json[]).filter((item) => typeof item === 'string');
    }
    return photosNamed(value);
  });
}
