/** Newer revisions that the job went over to: each is what its entry says it is, and a whole checklist. */
import { loadChecklist } from '../../checklist/load.ts';
import { withEdits } from '../../checklist/revision-edits.ts';
import { hex, textOf, utf8 } from '../../record/bytes.ts';
import { canonicalText } from '../../record/canonical.ts';
import { payloadBytes } from '../examined.ts';
import type { Examined } from '../examined.ts';
import { CHECKLIST_JSON } from '../layout.ts';
import { failure, remark } from '../report.ts';
import type { Finding } from '../report.ts';
import { lineAt } from './record.ts';

/** Called once the first checklist was found to be the one that the record pins. */
export function revisionFindings({ files, primitives, story }: Examined): Finding[] {
  const text = textOf(payloadBytes(files, CHECKLIST_JSON) ?? new Uint8Array());
  let json: unknown = JSON.parse(text ?? 'null');
  const findings: Finding[] = [];
  for (const [seq, event] of (story ?? []).entries()) {
    if (event.type !== 'job.rebased') continue;
    const { checklist, edits } = event.body;
    json = withEdits(json, edits);
    const flaw = json === null ? 'Its changes do not fit the list.' : flawOf(json, event.body);
    if (flaw !== null) {
      const says = `Entry ${seq} takes the job over to revision ${checklist.revision}, and what it changes does not lead there. ${flaw}`;
      return [...findings, failure('rebase-other', says, lineAt(seq))];
    }
    const says = `From entry ${seq} on the job ran on revision ${checklist.revision} (${checklist.sha256}): ${edits.length} changes, all in the entry.`;
    findings.push(remark('rebased', says, lineAt(seq)));
  }
  return findings;

  function flawOf(
    revised: unknown,
    { checklist }: { checklist: { id: string; revision: number; sha256: string } },
  ): string | null {
    const canonical = canonicalText(revised);
    if (hex(primitives.sha256(utf8(canonical))) !== checklist.sha256) {
      return 'The digest is another one.';
    }
    // JSON is YAML: the loader of files judges it whole, as it would be on the day it was written.
    const loaded = loadChecklist(canonical);
    if (!loaded.ok) return loaded.problems[0]?.says ?? 'It cannot be read.';
    const { id, revision } = loaded.checklist;
    return id === checklist.id && revision === checklist.revision
      ? null
      : `It is “${id}” revision ${revision}.`;
  }
}
