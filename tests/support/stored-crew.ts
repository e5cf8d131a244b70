/** Jobs of a made-up crew as a device would have sent them: sealed, with the checklist that they ran on. */
import { readFileSync } from 'node:fs';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { canonicalBytes, hex } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import type { Body } from '#lib/core/record/entry.ts';
import type { ScreenJob } from '#lib/core/screen/trace.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { keepChecklist } from '#lib/server/files/checklist-shelf.ts';
import type { CollectingServer } from './a-collecting-server.ts';
import { freshJobId, linesOf } from './a-job.ts';
import { entryFields, maraKey, sealNext } from './a-record.ts';

const text = readFileSync(
  new URL('../../checklists/range-door-lock.yaml', import.meta.url),
  'utf8',
);
const list = loadChecklist(text);
if (!list.ok) throw new Error('The checklist of the crew cannot be read.');
const sha256 = hex(nodePrimitives.sha256(canonicalBytes(list.json)));
const { id, revision } = list.checklist;

/** The entries as a device would have sealed them, one after the other. */
export async function sealedJob({ events }: Pick<ScreenJob, 'events'>): Promise<SealedEntry[]> {
  const job = freshJobId();
  const sealed: SealedEntry[] = [];
  for (const { type, at, mono, boot, by, body } of events) {
    const named = type === 'job.opened' ? { ...body, checklist: { id, revision, sha256 } } : body;
    const plain = JSON.parse(JSON.stringify(named)) as Body;
    const fields = entryFields(type, plain, { job, at, mono, boot, by });
    sealed.push(await sealNext(sealed, fields, maraKey));
  }
  return sealed;
}

/** Stores them, and the checklist beside them. */
export async function storeSealed(
  server: CollectingServer,
  device: string,
  sealed: readonly SealedEntry[],
): Promise<void> {
  const { entries } = await server.ingest.take(linesOf(sealed), device);
  const refused = entries.find(({ status }) => status !== 'accepted');
  if (refused !== undefined) throw new Error(JSON.stringify(refused));
  const kept = await keepChecklist(server.database.rows, sha256, text);
  if (!kept.ok) throw new Error(kept.says);
}

/** @returns the id that the job is stored under */
export async function storeJob(
  server: CollectingServer,
  device: string,
  events: Pick<ScreenJob, 'events'>,
): Promise<string> {
  const sealed = await sealedJob(events);
  await storeSealed(server, device, sealed);
  return sealed[0]?.entry.job ?? '';
}
