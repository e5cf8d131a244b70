/**
 * What this device has to send, and the proof that it arrived: an entry is sent once its receipt is
 * stored here, never before.
 */
import type { DeviceStore } from '../store.ts';
import type { ChecklistRow, JobRow } from '../schema.ts';
import { done } from '../trouble.ts';
import type { Result } from '../trouble.ts';
import { noteSeen, SERVER } from './seen.ts';
import type { ServerSettings } from './server-link.ts';

/** A job and how many of its entries have a receipt, counted from the first. */
export interface Outgoing {
  readonly row: JobRow;
  readonly sent: number;
}

export interface LastReceipt {
  /** Of the job's checklist. */
  readonly title: string;
  readonly seq: number;
  /** Place of the entry in the server's log. */
  readonly index: number;
  /** The `tlog-proof` text. */
  readonly receipt: string;
}

export class Outbox {
  readonly store: DeviceStore;

  constructor(store: DeviceStore) {
    this.store = store;
  }

  /** Null before the office has let this device in. */
  async server(): Promise<Result<ServerSettings | null>> {
    const read = await this.store.readSetting(SERVER);
    if (!read.ok) return read;
    return done((read.value as ServerSettings | undefined) ?? null);
  }

  async keepServer(settings: ServerSettings): Promise<Result<void>> {
    const kept = await this.store.saveSetting(SERVER, settings);
    if (kept.ok) noteSeen(this.store.connection, settings.checkpoint);
    return kept;
  }

  /**
   * Every job that is to be sent, the oldest first: what it was opened after is sent before it.
   * Demonstrations stay here: nobody is to be shown them among real jobs.
   */
  async jobs(): Promise<Result<readonly Outgoing[]>> {
    const rows = await this.store.listJobs();
    if (!rows.ok) return rows;
    const real = rows.value.filter(({ demo }) => !demo);
    return this.store.connection.read(['receipts'], async (tx) => {
      const receipts = tx.objectStore('receipts');
      const counts = await Promise.all(real.map(({ job }) => receipts.count(allOf(job))));
      return done(real.map((row, at) => ({ row, sent: counts[at] ?? 0 })).reverse());
    });
  }

  /** Entries of all jobs that have no receipt yet. */
  async unsent(): Promise<Result<number>> {
    const jobs = await this.jobs();
    if (!jobs.ok) return jobs;
    return done(jobs.value.reduce((sum, { row, sent }) => sum + row.count - sent, 0));
  }

  /** Stored lines from `seq` on, as they were signed: at most `most`, and at most so many bytes. */
  async lines(
    job: string,
    seq: number,
    most: number,
    mostBytes: number,
  ): Promise<Result<readonly Uint8Array[]>> {
    return this.store.connection.read(['entries'], async (tx) => {
      const range = IDBKeyRange.bound([job, seq], [job, seq + most - 1]);
      const lines: Uint8Array[] = [];
      let size = 0;
      for (const stored of await tx.objectStore('entries').getAll(range)) {
        size += stored.byteLength + 1;
        if (size > mostBytes) break;
        lines.push(new Uint8Array(stored));
      }
      return done(lines);
    });
  }

  /** Receipts of consecutive entries, verified before. */
  keepReceipts(job: string, seq: number, receipts: readonly string[]): Promise<Result<void>> {
    return this.store.connection.write(['receipts'], async (tx) => {
      const store = tx.objectStore('receipts');
      await Promise.all(receipts.map((receipt, at) => store.put(receipt, [job, seq + at])));
      return done(undefined);
    });
  }

  /** The server lost these entries (it was restored from a backup): they are to be sent again. */
  forgetReceipts(job: string, seq: number): Promise<Result<void>> {
    return this.store.connection.write(['receipts'], async (tx) => {
      await tx.objectStore('receipts').delete(IDBKeyRange.bound([job, seq], [job, []]));
      return done(undefined);
    });
  }

  /** Receipts of a job by the number of the entry, for its evidence bag. */
  async receipts(job: string): Promise<Result<ReadonlyMap<number, string>>> {
    return this.store.connection.read(['receipts'], async (tx) => {
      const store = tx.objectStore('receipts');
      const [keys, texts] = await Promise.all([
        store.getAllKeys(allOf(job)),
        store.getAll(allOf(job)),
      ]);
      return done(new Map(keys.map(([, seq], at) => [seq, texts[at] ?? ''])));
    });
  }

  /** The receipt of the entry that stands last in the server's log, of all that were sent from here. */
  async lastReceipt(): Promise<Result<LastReceipt | null>> {
    const jobs = await this.jobs();
    if (!jobs.ok) return jobs;
    const sent = jobs.value.filter((job) => job.sent > 0);
    return this.store.connection.read(['receipts'], async (tx) => {
      const store = tx.objectStore('receipts');
      const texts = await Promise.all(sent.map((job) => store.get([job.row.job, job.sent - 1])));
      const found = sent.map(({ row, sent: count }, at): LastReceipt => {
        const receipt = texts[at] ?? '';
        const index = Number(/^index (\d+)$/m.exec(receipt)?.[1] ?? -1);
        return { title: row.title, seq: count - 1, index, receipt };
      });
      return done(found.sort((one, other) => other.index - one.index)[0] ?? null);
    });
  }

  checklist(sha256: string): Promise<Result<ChecklistRow>> {
    return this.store.readChecklist(sha256);
  }

  /** How many private values of a job were sent, as remembered. */
  async disclosuresSent(job: string): Promise<Result<number>> {
    const read = await this.store.readSetting(`sent-private/${job}`);
    if (!read.ok) return read;
    return done(typeof read.value === 'number' ? read.value : 0);
  }

  rememberDisclosures(job: string, count: number): Promise<Result<void>> {
    return this.store.saveSetting(`sent-private/${job}`, count);
  }
}

function allOf(job: string): IDBKeyRange {
  return IDBKeyRange.bound([job], [job, []]);
}
