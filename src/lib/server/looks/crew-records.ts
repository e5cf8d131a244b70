/** Stored jobs as the second looks read them: the events of the main branch and the checklist beside them. */
import { setImmediate as otherWork } from 'node:timers/promises';
import { eventOf } from '#lib/core/bag/bodies.ts';
import type { Checklist } from '#lib/core/checklist/model.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { readLine } from '#lib/core/record/index.ts';
import type { ScreenJob } from '#lib/core/screen/trace.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import { checklistOf } from '../files/checklist-shelf.ts';

export interface StoredJob {
  readonly no: number;
  readonly job: string;
  readonly checklist_sha256: string;
}

/** The jobs of one crew: of the demonstrations, or of everybody else. */
export const crewJobs = (rows: Rows, demo: boolean, way: 'asc' | 'desc', most: number) =>
  rows
    .selectFrom('jobs')
    .select(['no', 'job', 'checklist_sha256'])
    .where('demo', '=', demo ? 1 : 0)
    .where('opened_at', '>', 0)
    .orderBy('opened_at', way)
    .limit(most)
    .execute();

/** Reads jobs one after the other, each list once. */
export class RecordReader {
  readonly #rows: Rows;
  readonly #checklists = new Map<string, Checklist | null>();

  constructor(rows: Rows) {
    this.#rows = rows;
  }

  /** @returns null when its checklist has not come in, or an entry says what this program does not know */
  async read({ no, job, checklist_sha256 }: StoredJob): Promise<ScreenJob | null> {
    const checklist = await this.#checklist(checklist_sha256);
    if (checklist === null) return null;
    const lines = await this.#rows
      .selectFrom('leaves')
      .select('line')
      .where('job_no', '=', no)
      .where('side', '=', 0)
      .orderBy('seq')
      .execute();
    const events: JobEvent[] = [];
    for (const { line } of lines) {
      const read = readLine(new Uint8Array(line), nodePrimitives);
      const event = read.ok ? eventOf(read.value.entry) : read;
      if (!event.ok) return null;
      events.push(event.value);
    }
    // A long list of jobs must not keep everybody else waiting.
    await otherWork();
    return { job, checklist, events };
  }

  async #checklist(sha256: string): Promise<Checklist | null> {
    const known = this.#checklists.get(sha256);
    if (known !== undefined) return known;
    const found = (await checklistOf(this.#rows, sha256))?.checklist ?? null;
    this.#checklists.set(sha256, found);
    return found;
  }
}
