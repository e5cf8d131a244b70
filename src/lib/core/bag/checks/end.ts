/** `record.end`: is it proven that the record goes no further than here? */
import { manifestOf } from '../../record/chain.ts';
import type { SealedEntry } from '../../record/sealed.ts';
import type { Examined } from '../examined.ts';
import { failure, held, judged, remark } from '../report.ts';
import type { Finding, Verdict } from '../report.ts';
import { unreadable } from './container.ts';
import { lineAt } from './record.ts';

export function checkEnd(bag: Examined): Verdict {
  const { sealed, receipts } = bag;
  const events = bag.story;
  if (sealed === null || events === null) return unreadable('the record');
  const at = events.findLastIndex(
    ({ type }) => type === 'job.closed' || type === 'job.refused' || type === 'evidence.held',
  );
  const ending = events[at];
  if (ending?.type === 'job.closed') {
    const findings = manifestFindings(sealed, at, ending.body.manifest);
    return judged(
      findings,
      `The closing entry ${at} counts ${at} entries before it and names the last, every key and every photo.`,
    );
  }
  if (ending !== undefined) {
    return held(`Entry ${at} ends the job (${ending.type}); after it only amendments can follow.`);
  }
  const last = sealed.length - 1;
  const receipt = receipts.find(({ seq }) => seq === last);
  if (receipt?.opened.ok) {
    const { checkpoint } = receipt.opened.value;
    const says = `The job is not closed. Entry ${last} is the last that is here; the log “${checkpoint.origin}” had it when it held ${checkpoint.size} entries, and can say whether more came.`;
    return held(says, [remark('job-open', says, lineAt(last))]);
  }
  const says = `The end is not proven: the job is not closed, and there is no receipt for entry ${last}. What is here may have been cut after it.`;
  return judged([failure('end-not-proven', says, lineAt(last))], '');
}

function manifestFindings(
  sealed: readonly SealedEntry[],
  at: number,
  manifest: unknown,
): Finding[] {
  if (manifest === undefined) {
    return [
      failure(
        'manifest-none',
        'The entry that closes the job carries no manifest of it.',
        lineAt(at),
      ),
    ];
  }
  const closing = sealed[at];
  const due = manifestOf(sealed.slice(0, at), closing?.entry.key ?? '');
  if (JSON.stringify(sorted(manifest)) === JSON.stringify(sorted(due))) return [];
  return [
    failure(
      'manifest-other',
      'The manifest of the closing entry does not fit the entries before it.',
      lineAt(at),
    ),
  ];
}

/** The members of a flat object in one order, so that two can be compared as text. */
function sorted(value: unknown): unknown {
  return Object.entries(value ?? {}).sort(([one], [other]) => (one < other ? -1 : 1));
}
