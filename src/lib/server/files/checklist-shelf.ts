/** The checklists that jobs ran on, as they were written, by the SHA-256 of their canonical form. */
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { canonicalBytes, hex } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';

export const LARGEST_CHECKLIST = 512 * 1024;

/** @param sha256 the name that it must have, which some job must have pinned */
export async function keepChecklist(
  rows: Rows,
  sha256: string,
  text: string,
): Promise<Answered<object>> {
  const pinned = await rows
    .selectFrom('jobs')
    .select('no')
    .where('checklist_sha256', '=', sha256)
    .executeTakeFirst();
  if (pinned === undefined)
    return refused(404, 'not-named', 'No job that is stored here runs on this checklist.');
  const loaded = loadChecklist(text);
  if (!loaded.ok) {
    const [first] = loaded.problems;
    return refused(
      422,
      'bad-checklist',
      `It cannot be read: ${first?.says ?? ''} Nothing was kept.`,
    );
  }
  if (hex(nodePrimitives.sha256(canonicalBytes(loaded.json))) !== sha256)
    return refused(422, 'wrong-hash', 'It is not the checklist of this name. Nothing was kept.');
  const { id, revision, title } = loaded.checklist;
  await rows
    .insertInto('checklists')
    .values({ sha256, id, revision, title, text })
    .onConflict((on) => on.column('sha256').doNothing())
    .execute();
  return answered({});
}

export interface KeptChecklist {
  readonly checklist: Checklist;
  readonly yaml: string;
  readonly json: unknown;
}

export async function checklistOf(rows: Rows, sha256: string): Promise<KeptChecklist | null> {
  const found = await rows
    .selectFrom('checklists')
    .select('text')
    .where('sha256', '=', sha256)
    .executeTakeFirst();
  return found === undefined ? null : readOnce(found.text);
}

/** Lists by their text: reading one takes some hundred times as long as fetching it. */
const known = new Map<string, KeptChecklist | null>();
const MOST_KNOWN = 100;

function readOnce(yaml: string): KeptChecklist | null {
  const before = known.get(yaml);
  if (before !== undefined) return before;
  const loaded = loadChecklist(yaml);
  const read = loaded.ok ? { checklist: loaded.checklist, yaml, json: loaded.json } : null;
  if (known.size >= MOST_KNOWN) known.clear();
  known.set(yaml, read);
  return read;
}
