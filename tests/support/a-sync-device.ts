/** A technician's device as the sync sees it: its store, its outbox, and entries that appear in it. */
import 'fake-indexeddb/auto';
import { webPrimitives } from '#lib/crypto/web.ts';
import { headOf } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import type { NodeKey } from '#lib/crypto/node.ts';
import { Connection } from '#lib/device/connection.ts';
import type { JobRow } from '#lib/device/schema.ts';
import { DeviceStore, NOWHERE } from '#lib/device/store.ts';
import { Outbox } from '#lib/device/sync/outbox.ts';
import type { Fetch, ServerSettings } from '#lib/device/sync/server-link.ts';
import { syncOnce } from '#lib/device/sync/sync.ts';
import type { SyncStatus } from '#lib/device/sync/sync.ts';
import { freshJobId, longer } from './a-job.ts';
import { must } from './fresh-store.ts';

export class SyncDevice {
  readonly name: string;
  readonly person: string;
  readonly key: NodeKey;
  /** Every job as this device recorded it. */
  readonly jobs = new Map<string, readonly SealedEntry[]>();
  outbox!: Outbox;

  private constructor(name: string, person: string, key: NodeKey) {
    this.name = name;
    this.person = person;
    this.key = key;
  }

  static async start(name: string, person: string, key: NodeKey): Promise<SyncDevice> {
    const device = new SyncDevice(name, person, key);
    await device.restart();
    return device;
  }

  /** As when the page is loaded again: only what is stored is known. */
  async restart(): Promise<void> {
    this.outbox?.store.connection.close();
    this.outbox = new Outbox(new DeviceStore(must(await Connection.open(this.name))));
  }

  async letIn(settings: ServerSettings): Promise<void> {
    must(await this.outbox.keepServer(settings));
  }

  /** Records more entries, in a new job or one that is there. */
  async record(count: number, job = freshJobId()): Promise<string> {
    const before = this.jobs.get(job) ?? [];
    const all = await longer(before, count, job, this.key, this.person);
    this.jobs.set(job, all);
    await this.put(job, before, all);
    return job;
  }

  async put(
    job: string,
    before: readonly SealedEntry[],
    all: readonly SealedEntry[],
  ): Promise<void> {
    const last = before.at(-1);
    const upon = last === undefined ? NOWHERE : { count: before.length, head: headOf(last).hash };
    const lines = all.slice(before.length).map(({ line }) => line);
    must(await this.outbox.store.append({ upon, lines, row: rowOf(job, all) }));
  }

  sync(fetch: Fetch): Promise<SyncStatus> {
    return syncOnce(this.outbox, fetch, webPrimitives);
  }
}

function rowOf(job: string, all: readonly SealedEntry[]): JobRow {
  const [first, last] = [all[0], all.at(-1)];
  return {
    job,
    count: all.length,
    head: last?.hash ?? '',
    checklist: 'c'.repeat(64),
    title: 'Electric range',
    demo: false,
    openedAt: first?.entry.at ?? '',
    lastAt: last?.entry.at ?? '',
    openedBy: first?.entry.by ?? '',
    lastBy: last?.entry.by ?? '',
    status: 'atWork',
  };
}
