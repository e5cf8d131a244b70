/** A newer revision of a running job's list that was signed for use on this device, and what it changes. */
import { compareChecklists } from '#lib/core/checklist/compare.ts';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { editsBetween, withEdits } from '#lib/core/checklist/revision-edits.ts';
import { readChecklistText } from '#lib/device/checklists.ts';
import type { Connection } from '#lib/device/connection.ts';
import { ownChecklist } from '#lib/device/own-checklists.ts';
import type { JobSession } from '#lib/device/session.svelte.ts';
import { signatureSays, signedRevision } from '#lib/device/signed-revisions.ts';
import type { Newer } from '#lib/ui/desk.ts';
import { checklistText } from '../../checklist-texts.ts';
import { onShelf } from '../../checklists.ts';

/** The list that the job runs on as it was read from its file, with what was changed since. */
function runningJson(session: JobSession): unknown {
  return session.entries.reduce(
    (json: unknown, { event }) =>
      event.type === 'job.rebased' ? withEdits(json, event.body.edits) : json,
    JSON.parse(session.opened.row.json),
  );
}

/** Texts of this list that may be newer; the others are not worth reading whole. */
async function candidates(connection: Connection, { id, revision }: Checklist): Promise<string[]> {
  const own = await ownChecklist(connection, id);
  const text = own.ok ? own.value?.text : undefined;
  const said = Number(/^revision: *(\d{1,9})/m.exec(text ?? '')?.[1] ?? 0);
  const shelf = (onShelf(id)?.revision ?? 0) > revision ? await checklistText(id) : undefined;
  return [...(text !== undefined && said > revision ? [text] : []), ...(shelf ? [shelf] : [])];
}

/** The newest that is signed; undefined when there is none. */
export async function newerRevision(
  connection: Connection,
  session: JobSession,
): Promise<Newer | undefined> {
  const { checklist } = session;
  let found: Newer | undefined;
  for (const text of await candidates(connection, checklist)) {
    const read = await readChecklistText(text);
    if (!read.ok || read.value.checklist.revision <= (found?.revision ?? checklist.revision))
      continue;
    const { row, checklist: after } = read.value;
    const signed = await signedRevision(connection, row.sha256);
    if (!signed.ok || signed.value === null) continue;
    const edits = editsBetween(runningJson(session), JSON.parse(row.json));
    if (edits === null) continue;
    const { place, by, at } = signed.value.statement;
    found = {
      revision: after.revision,
      language: after.language,
      signed: { place, by, at },
      changes: compareChecklists(checklist, after),
      order: { command: 'rebase', sha256: row.sha256, edits },
      note: signatureSays(signed.value),
    };
  }
  return found;
}
