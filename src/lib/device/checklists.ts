/** Checklists on the device: a file as written, read and checked, and its identity. */
import type { Checklist } from '#lib/core/checklist/model.ts';
import { canonicalText, hex, utf8 } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import type { ChecklistRow } from './schema.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

export interface LoadedChecklist {
  readonly checklist: Checklist;
  /** What is kept beside the jobs that run on it. */
  readonly row: ChecklistRow;
}

/** Reads a checklist file: `bad-checklist` with the first problem and where it is. */
export async function readChecklistText(text: string): Promise<Result<LoadedChecklist>> {
  // The reader of YAML is large, and a device that only lists jobs never needs it.
  const { loadChecklist } = await import('#lib/core/checklist/load.ts');
  const loaded = loadChecklist(text);
  if (!loaded.ok) {
    const [first, ...others] = loaded.problems;
    const where = first === undefined ? '' : ` Line ${first.line}: ${first.says}`;
    const more = others.length === 0 ? '' : ` There are ${others.length} more.`;
    return failed(
      'bad-checklist',
      `This checklist cannot be used.${where}${more} No job was opened. Mend the file, or take another checklist.`,
    );
  }
  const { checklist } = loaded;
  const json = canonicalText(loaded.json);
  const { id, revision, title } = checklist;
  return done({ checklist, row: { sha256: identityOf(json), id, revision, title, text, json } });
}

/**
 * A checklist that was read and checked when its job was opened, without reading its file again:
 * `damaged` when it is not, byte for byte, the one that the record pins.
 */
export function keptChecklist(row: ChecklistRow, job: string): Result<LoadedChecklist> {
  if (identityOf(row.json) === row.sha256) {
    return done({ checklist: JSON.parse(row.json) as Checklist, row });
  }
  return failed(
    'damaged',
    `The checklist kept for job ${job} is not the one that its record names. Nothing was changed or deleted. Export the record as it stands, and go on in a new job.`,
  );
}

function identityOf(json: string): string {
  return hex(purePrimitives.sha256(utf8(json)));
}
