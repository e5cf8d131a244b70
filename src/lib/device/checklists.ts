/** Checklists on the device: a file as written, read and checked, and its identity. */
import type { Checklist } from '#lib/core/checklist/model.ts';
import { canonicalBytes, hex } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import type { ChecklistRow } from './schema.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

export interface LoadedChecklist {
  readonly checklist: Checklist;
  /** What was read from the file, before anything was made of it: the identity is taken of this. */
  readonly json: unknown;
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
  const { checklist, json } = loaded;
  const sha256 = hex(purePrimitives.sha256(canonicalBytes(json)));
  const { id, revision, title } = checklist;
  return done({ checklist, json, row: { sha256, id, revision, title, text } });
}
