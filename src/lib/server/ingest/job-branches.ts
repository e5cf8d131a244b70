/**
 * One job while a batch is put in its place: what is stored of it around the batch, and what the batch
 * adds. The main branch is what came first; whatever takes a place that was taken, or follows such an
 * entry, is on the side and kept as well.
 */
import { checkedNext, fromHex, hex, readLine, sameBytes } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import type { JobTable } from '../database/tables.ts';
import { rejected } from './checked-line.ts';
import type { Rejection } from './checked-line.ts';

/** An entry that has its place: read from the database, or from this batch. */
interface Placed {
  readonly index: number;
  readonly hash: string;
  readonly side: 0 | 1;
  readonly sealed: () => SealedEntry | null;
}

export type Placing =
  | { readonly kind: 'duplicate'; readonly index: number }
  | { readonly kind: 'new'; readonly side: 0 | 1 }
  | { readonly kind: 'rejected'; readonly rejection: Rejection };

export class JobBranches {
  /** As stored before the batch; null for a job that is new here. */
  readonly row: JobTable | null;
  readonly #bySeq = new Map<number, Placed[]>();
  /** Entries of the main branch, those of the batch included. */
  count: number;

  private constructor(row: JobTable | null) {
    this.row = row;
    this.count = row?.count ?? 0;
  }

  /** @param seqs the numbers that the batch speaks of */
  static async read(
    rows: Rows,
    row: JobTable | null,
    seqs: ReadonlySet<number>,
  ): Promise<JobBranches> {
    const branches = new JobBranches(row);
    if (row === null) return branches;
    const around = new Set([...seqs].flatMap((seq) => (seq === 0 ? [0] : [seq - 1, seq])));
    const due = [...around].filter((seq) => row.forked === 1 || seq < row.count);
    if (due.length === 0) return branches;
    const stored = await rows
      .selectFrom('leaves')
      .select(['idx', 'hash', 'seq', 'side', 'line'])
      .where('job_no', '=', row.no)
      .where('seq', 'in', due)
      .orderBy('idx')
      .execute();
    for (const { idx, hash, seq, side, line } of stored) {
      const sealed = () => {
        const read = readLine(line, nodePrimitives);
        return read.ok ? read.value : null;
      };
      branches.#put(seq ?? 0, { index: idx, hash: hex(hash), side: side ?? 0, sealed });
    }
    return branches;
  }

  /** Where this entry belongs. Nothing is changed until `add`. */
  place(next: SealedEntry): Placing {
    const { seq, prev } = next.entry;
    const siblings = this.#bySeq.get(seq) ?? [];
    const same = siblings.find(({ hash }) => hash === next.hash);
    if (same !== undefined) return { kind: 'duplicate', index: same.index };
    const taken = siblings.some(({ side }) => side === 0);
    if (seq === 0) return this.#checked(null, next, taken ? 1 : 0);
    const before = this.#bySeq.get(seq - 1) ?? [];
    if (before.length === 0) return gap(next, this.count);
    const parent = before.find(({ hash }) => hash === prev);
    // Any of them gives the sentence of the broken link.
    const upon = (parent ?? before[0])?.sealed() ?? null;
    if (upon === null) return gap(next, this.count);
    return this.#checked(upon, next, taken || parent?.side === 1 ? 1 : 0);
  }

  #checked(upon: SealedEntry | null, next: SealedEntry, side: 0 | 1): Placing {
    const checked = checkedNext(upon, next);
    if (checked.ok) return { kind: 'new', side };
    const { rejection } = rejected(checked.flaw.code, checked.flaw.says, next.hash);
    return { kind: 'rejected', rejection };
  }

  add(sealed: SealedEntry, index: number, side: 0 | 1): void {
    if (side === 0) this.count = sealed.entry.seq + 1;
    this.#put(sealed.entry.seq, { index, hash: sealed.hash, side, sealed: () => sealed });
  }

  #put(seq: number, placed: Placed): void {
    const held = this.#bySeq.get(seq);
    if (held === undefined) this.#bySeq.set(seq, [placed]);
    else held.push(placed);
  }
}

function gap(next: SealedEntry, expected: number): Placing {
  const { seq, job } = next.entry;
  const { rejection } = rejected(
    'gap',
    `Entry ${seq} of job ${job} came before entry ${expected}. Nothing of it was stored; send the entries from ${expected} on, in order.`,
    next.hash,
  );
  return { kind: 'rejected', rejection: { ...rejection, expected } };
}

/** The bytes of a hash that is known to be hex. */
export function hashBytes(text: string): Uint8Array {
  const bytes = fromHex(text);
  if (bytes === null) throw new RangeError(`Not a hash: ${text}`);
  return bytes;
}

export function sameHash(bytes: Uint8Array, text: string): boolean {
  return sameBytes(bytes, hashBytes(text));
}
