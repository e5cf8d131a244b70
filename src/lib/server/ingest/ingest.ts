/**
 * Takes in batches of sealed entries: checked, stored as the bytes they came as, put into the log, read
 * back, signed for, answered with receipts.
 *
 * Invariants: an answer `accepted` or `forked` means that the entry is on the disk and under a signed
 * checkpoint; the same entry sent again gets the same receipt; nothing is stored twice.
 */
import { setImmediate as otherWork } from 'node:timers/promises';
import { photosNamed } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import type { Database, Rows, Writing } from '../database/database.ts';
import { raise } from '../flags.ts';
import type { NewFlag } from '../flags.ts';
import type { NewLeaf, OrganisationLog } from '../log/organisation-log.ts';
import { receiptsOf } from '../log/receipts.ts';
import type { BatchAnswer, EntryAnswer } from './answer.ts';
import { checkedLines, KeyShelf } from './checked-line.ts';
import type { Checked, Rejection } from './checked-line.ts';
import { clockFlags } from './clock-flags.ts';
import { hashBytes, JobBranches } from './job-branches.ts';
import { addToSummary, blankJob, msOf } from './job-summary.ts';
import type { JobRow } from './job-summary.ts';

/** What became of one line, before the receipts. */
type Settled =
  | {
      readonly hash: string;
      readonly status: 'accepted' | 'duplicate' | 'forked';
      readonly index: number;
    }
  | Rejection;

interface Taken {
  readonly settled: readonly Settled[];
  /** A signed note that covers them. */
  readonly checkpoint: string;
}

/** A batch whose lines were checked, waiting for its turn at the log. */
interface Waiting {
  readonly checked: readonly Checked[];
  readonly device: string;
  readonly done: (taken: Taken) => void;
  readonly failed: (error: unknown) => void;
}

/** A line of one of the batches that are taken together. */
type Line = Checked & { readonly device: string };

/** A new entry of the batch, with its place in the log. */
interface Added {
  readonly sealed: SealedEntry;
  readonly index: number;
  readonly side: 0 | 1;
}

/** A job that the batch speaks of. */
interface Touched {
  readonly branches: JobBranches;
  readonly row: JobRow;
  readonly added: Added[];
}

/** 2000 entries: few enough that nobody waits long for the others. */
const MOST_BATCHES_TOGETHER = 10;

export class Ingest {
  readonly #database: Database;
  readonly #log: OrganisationLog;
  readonly #keys = new KeyShelf();
  readonly #now: () => number;
  readonly #stored: (jobs: readonly number[]) => void;
  readonly #waiting: Waiting[] = [];
  #writing = false;

  /** @param stored hears the numbers of the jobs that entries were added to */
  constructor(
    database: Database,
    log: OrganisationLog,
    now: () => number,
    stored: (jobs: readonly number[]) => void = () => {},
  ) {
    this.#database = database;
    this.#log = log;
    this.#now = now;
    this.#stored = stored;
  }

  /**
   * @param lines at most 200, without their line feeds
   * @param device the device that sends them
   * @throws LogTrouble when the log may not be signed; nothing that was sent is lost on the device
   */
  async take(lines: readonly Uint8Array[], device: string): Promise<BatchAnswer> {
    const { rows } = this.#database;
    const checked = await checkedLines(rows, this.#keys, lines);
    const { settled, checkpoint } = await new Promise<Taken>((done, failed) => {
      this.#waiting.push({ checked, device, done, failed });
      if (!this.#writing) void this.#run();
    });
    return { checkpoint, entries: await this.#withReceipts(rows, settled) };
  }

  /** Batches that came while another was written are written together: a commit costs as much for all. */
  async #run(): Promise<void> {
    this.#writing = true;
    while (this.#waiting.length > 0) {
      // Where the database answers at once, nothing else came to its turn while a batch was written: those
      // whose signatures were checked meanwhile are not here yet.
      await otherWork();
      const batches = this.#waiting.splice(0, MOST_BATCHES_TOGETHER);
      try {
        const lines = batches.flatMap(({ checked, device }) =>
          checked.map((one): Line => ({ ...one, device })),
        );
        const { settled, jobs } = await this.#append(lines);
        const { note } = await this.#log.sign();
        if (jobs.length > 0) this.#stored(jobs);
        let at = 0;
        for (const { checked, done } of batches) {
          done({ settled: settled.slice(at, at + checked.length), checkpoint: note });
          at += checked.length;
        }
      } catch (error) {
        for (const { failed } of batches) failed(error);
      }
    }
    this.#writing = false;
  }

  #append(lines: readonly Line[]) {
    return this.#log.append(async (rows, size) => {
      const { leaves, ...value } = await this.#place(rows, lines, size);
      return { leaves, value };
    });
  }

  async #place(
    rows: Writing,
    lines: readonly Line[],
    size: number,
  ): Promise<{ leaves: NewLeaf[]; settled: Settled[]; jobs: number[] }> {
    const touched = await touchedJobs(rows, lines, this.#now());
    const leaves: NewLeaf[] = [];
    const settled = lines.map((one): Settled => {
      if (one.sealed === undefined) return one.rejection;
      const { sealed } = one;
      const { hash } = sealed;
      const job = touched.get(sealed.entry.job);
      if (job === undefined) throw new RangeError(`Job ${sealed.entry.job} was not looked up.`);
      const placing = job.branches.place(sealed);
      if (placing.kind === 'rejected') return placing.rejection;
      if (placing.kind === 'duplicate') return { hash, status: 'duplicate', index: placing.index };
      const { side } = placing;
      const index = size + leaves.length;
      job.branches.add(sealed, index, side);
      job.added.push({ sealed, index, side });
      const leaf = leafOf(sealed, job.row.no, side);
      leaves.push(leaf);
      if (side === 1) job.row.forked = 1;
      else addToSummary(job.row, sealed, leaf.hash);
      return { hash, status: side === 1 ? 'forked' : 'accepted', index };
    });
    const changed = [...touched.values()].filter(({ added }) => added.length > 0);
    if (changed.length > 0) await this.#keep(rows, changed);
    return { leaves, settled, jobs: changed.map(({ row }) => row.no) };
  }

  async #keep(rows: Writing, changed: readonly Touched[]): Promise<void> {
    await writeJobs(rows, changed);
    const added = changed.flatMap((job) => job.added.map((one) => ({ ...one, row: job.row })));
    await keepPhotoUses(rows, added);
    await eraseDisclosures(rows, added);
    const flags = [
      ...forkFlags(changed),
      ...(await lateKeyFlags(rows, added)),
      ...(await clockFlags(rows, added, this.#log.origin, this.#now())),
    ];
    await raise(rows, flags, this.#now());
  }

  async #withReceipts(rows: Rows, settled: readonly Settled[]): Promise<EntryAnswer[]> {
    const indices = settled.flatMap((one) => (one.status === 'rejected' ? [] : [one.index]));
    const receipts = await receiptsOf(rows, this.#log.shelf, indices);
    return settled.map((one) => {
      if (one.status === 'rejected') return one;
      const receipt = receipts.get(one.index);
      if (receipt === undefined) throw new RangeError(`Entry ${one.index} is not signed for.`);
      return { ...one, receipt };
    });
  }
}

/** The jobs of a batch, numbered if they are new. */
async function touchedJobs(
  rows: Writing,
  lines: readonly Line[],
  now: number,
): Promise<Map<string, Touched>> {
  const numbers = new Map<string, Set<number>>();
  const devices = new Map<string, string>();
  for (const { sealed, device } of lines) {
    if (sealed === undefined) continue;
    const { job, seq } = sealed.entry;
    numbers.set(job, (numbers.get(job) ?? new Set()).add(seq));
    if (!devices.has(job)) devices.set(job, device);
  }
  const touched = new Map<string, Touched>();
  if (numbers.size === 0) return touched;
  const stored = await rows
    .selectFrom('jobs')
    .selectAll()
    .where('job', 'in', [...numbers.keys()])
    .execute();
  const byJob = new Map(stored.map((row) => [row.job, row]));
  let next = stored.length === numbers.size ? 0 : (await lastJob(rows)) + 1;
  for (const [job, seqs] of numbers) {
    const row = byJob.get(job) ?? null;
    const branches = await JobBranches.read(rows, row, seqs);
    const summary = row === null ? blankJob(next++, job, devices.get(job) ?? '', now) : { ...row };
    touched.set(job, { branches, row: summary, added: [] });
  }
  return touched;
}

async function lastJob(rows: Rows): Promise<number> {
  const { last } = await rows
    .selectFrom('jobs')
    .select((is) => is.fn.max('no').as('last'))
    .executeTakeFirstOrThrow();
  return last ?? 0;
}

function leafOf(sealed: SealedEntry, job_no: number, side: 0 | 1): NewLeaf {
  const { at, by, seq, type } = sealed.entry;
  const hash = hashBytes(sealed.hash);
  return { hash, kind: 'entry', job_no, seq, side, type, by, at: msOf(at), line: sealed.line };
}

async function writeJobs(rows: Writing, changed: readonly Touched[]): Promise<void> {
  await rows
    .insertInto('jobs')
    .values(changed.map(({ row }) => row))
    .onConflict((on) =>
      on.column('no').doUpdateSet((set) => ({
        count: set.ref('excluded.count'),
        head: set.ref('excluded.head'),
        status: set.ref('excluded.status'),
        last_at: set.ref('excluded.last_at'),
        last_by: set.ref('excluded.last_by'),
        due_at: set.ref('excluded.due_at'),
        refusals: set.ref('excluded.refusals'),
        forked: set.ref('excluded.forked'),
      })),
    )
    .execute();
}

type AddedToRow = Added & { readonly row: JobRow };

async function keepPhotoUses(rows: Writing, added: readonly AddedToRow[]): Promise<void> {
  const uses = new Map<string, { sha256: string; job_no: number }>();
  for (const { sealed, row } of added)
    for (const sha256 of photosNamed(sealed.entry.body))
      if (/^[0-9a-f]{64}$/.test(sha256))
        uses.set(`${row.no} ${sha256}`, { sha256, job_no: row.no });
  if (uses.size === 0) return;
  await rows
    .insertInto('photo_uses')
    .values([...uses.values()])
    .onConflict((on) => on.columns(['sha256', 'job_no']).doNothing())
    .execute();
}

/** What a household asked to have erased goes here too; the digest in the entry stays. */
async function eraseDisclosures(rows: Writing, added: readonly AddedToRow[]): Promise<void> {
  for (const { sealed, row } of added) {
    const { digest } = sealed.entry.body;
    if (sealed.entry.type !== 'disclosure.erased' || typeof digest !== 'string') continue;
    await rows
      .deleteFrom('disclosures')
      .where('job_no', '=', row.no)
      .where('digest', '=', digest)
      .execute();
  }
}

function forkFlags(changed: readonly Touched[]): NewFlag[] {
  return changed.flatMap(({ row, added }) => {
    const first = added.find(({ side }) => side === 1);
    if (first === undefined) return [];
    const { seq, by } = first.sealed.entry;
    return [
      {
        code: 'fork' as const,
        job_no: row.no,
        idx: first.index,
        says: `Two different entries claim to be number ${seq} of this job; the later one to arrive is by “${by}”. Both are kept. A copied or restored device does this, and so does somebody who writes the past anew: ask.`,
      },
    ];
  });
}

async function lateKeyFlags(rows: Writing, added: readonly AddedToRow[]): Promise<NewFlag[]> {
  const used = [...new Set(added.map(({ sealed }) => sealed.entry.key))];
  const ended = await rows
    .selectFrom('keys')
    .select(['thumbprint', 'until_idx'])
    .where('thumbprint', 'in', used)
    .where('until_idx', 'is not', null)
    .execute();
  return ended.flatMap(({ thumbprint }) => {
    const late = added.find(({ sealed }) => sealed.entry.key === thumbprint);
    if (late === undefined) return [];
    return [
      {
        code: 'late-key' as const,
        job_no: late.row.no,
        idx: late.index,
        says: `Entries signed with a key of “${late.sealed.entry.by}” came in after that key was ended. They are kept; whether they were made before, only other evidence can tell.`,
      },
    ];
  });
}
