/** Entries of one kind over all jobs, read back from their lines. */
import { eventOf } from '#lib/core/bag/bodies.ts';
import type { EventType, JobEvent } from '#lib/core/job/events.ts';
import { readLine } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';

export interface FoundEntry {
  readonly job: string;
  readonly seq: number;
  readonly event: JobEvent;
}

/** The newest first, of the main branches; what cannot be read is left out. */
export async function eventsOfType(
  rows: Rows,
  type: EventType,
  most: number,
): Promise<FoundEntry[]> {
  const found = await rows
    .selectFrom('leaves')
    .innerJoin('jobs', 'jobs.no', 'leaves.job_no')
    .select(['jobs.job', 'leaves.seq', 'leaves.line'])
    .where('leaves.type', '=', type)
    .where('leaves.kind', '=', 'entry')
    .where('leaves.side', '=', 0)
    .orderBy('leaves.at', 'desc')
    .limit(most)
    .execute();
  return found.flatMap(({ job, seq, line }) => {
    const read = readLine(new Uint8Array(line), nodePrimitives);
    const event = read.ok ? eventOf(read.value.entry) : read;
    return event.ok ? [{ job, seq: seq ?? 0, event: event.value }] : [];
  });
}
