/** The jobs, told again from their entries: chains, and the rows that lists are made from. */
import { checkedNext, hex, readLine } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import type { LeafTable } from '../database/tables.ts';
import { hashBytes, sameHash } from '../ingest/job-branches.ts';
import { addToSummary, blankJob } from '../ingest/job-summary.ts';
import type { JobRow } from '../ingest/job-summary.ts';
import type { Findings } from './report.ts';

interface Told {
  readonly row: JobRow;
  /** The last entry of the main branch, without its line and its body. */
  last: SealedEntry | null;
}

const JOBS_AT_ONCE = 1000;

export class JobCheck {
  readonly #rows: Rows;
  readonly #findings: Findings;
  readonly #jobs = new Map<number, Told>();

  constructor(rows: Rows, findings: Findings) {
    this.#rows = rows;
    this.#findings = findings;
  }

  get count(): number {
    return this.#jobs.size;
  }

  /** An entry that is well formed, at its place in the tree. */
  async add(leaf: LeafTable, sealed: SealedEntry): Promise<void> {
    const no = leaf.job_no ?? -1;
    const { entry } = sealed;
    const told = this.#jobs.get(no) ?? { row: blankJob(no, entry.job, '', 0), last: null };
    this.#jobs.set(no, told);
    if (leaf.side === 1) {
      told.row.forked = 1;
      const upon = await this.#parent(no, sealed);
      if (entry.seq > 0 && upon === null) this.#broken(leaf, 'it follows no entry that is stored');
      return;
    }
    if (entry.job !== told.row.job) return this.#broken(leaf, 'it is listed under another job');
    const checked = checkedNext(told.last, sealed);
    if (!checked.ok) return this.#broken(leaf, checked.flaw.says);
    addToSummary(told.row, sealed, hashBytes(sealed.hash));
    told.last = {
      ...sealed,
      entry: { ...entry, body: {} },
      line: new Uint8Array(),
    };
  }

  #broken({ idx }: LeafTable, why: string): void {
    this.#findings.fail('chains', `Leaf ${idx}: ${why}`);
  }

  async #parent(no: number, { entry }: SealedEntry): Promise<SealedEntry | null> {
    if (entry.seq === 0) return null;
    const found = await this.#rows
      .selectFrom('leaves')
      .select('line')
      .where('job_no', '=', no)
      .where('seq', '=', entry.seq - 1)
      .where('hash', '=', hashBytes(entry.prev))
      .executeTakeFirst();
    const read = found === undefined ? null : readLine(found.line, nodePrimitives);
    return read?.ok === true ? read.value : null;
  }

  async end(): Promise<void> {
    for (let after = -1; ;) {
      const rows = await this.#rows
        .selectFrom('jobs')
        .selectAll()
        .where('no', '>', after)
        .orderBy('no')
        .limit(JOBS_AT_ONCE)
        .execute();
      for (const row of rows) this.#compare(row);
      const last = rows.at(-1);
      if (last === undefined) break;
      after = last.no;
    }
    for (const { row } of this.#jobs.values())
      this.#findings.fail('jobs', `Job ${row.job} has entries and is not in the list.`);
  }

  #compare(row: JobRow): void {
    const told = this.#jobs.get(row.no)?.row;
    this.#jobs.delete(row.no);
    if (told === undefined)
      return this.#findings.fail('jobs', `Job ${row.job} is listed and has no entries.`);
    const differing = COMPARED.filter((name) => told[name] !== row[name]);
    if (!sameHash(row.head, hex(told.head))) differing.push('head');
    if (differing.length > 0)
      this.#findings.fail(
        'jobs',
        `Job ${row.job} is not listed as its entries have it: ${differing.join(', ')}.`,
      );
  }
}

/** Every column that the entries give. */
const COMPARED: (keyof JobRow)[] = [
  'job',
  'count',
  'checklist',
  'revision',
  'checklist_sha256',
  'demo',
  'status',
  'opened_at',
  'opened_by',
  'last_at',
  'last_by',
  'due_at',
  'refusals',
  'forked',
];
