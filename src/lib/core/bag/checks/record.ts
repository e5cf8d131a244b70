/** `record.form`, `record.order`, `record.chain`, `record.signatures`. */
import { checkedLink, checkedOrder, MOST_ENTRIES } from '../../record/chain.ts';
import type { Outcome } from '../../record/outcome.ts';
import { signatureStands } from '../../record/sealed.ts';
import type { SealedEntry } from '../../record/sealed.ts';
import { payloadBytes } from '../examined.ts';
import type { Examined } from '../examined.ts';
import { RECORD } from '../layout.ts';
import { failure, judged } from '../report.ts';
import type { Finding, Verdict } from '../report.ts';
import { unreadable } from './container.ts';

export const lineAt = (seq: number): string => `data/${RECORD} line ${seq + 1}`;

/** Enough to show what is wrong; a file of a hundred thousand bad lines is no more wrong than one of ten. */
const MOST_FINDINGS = 20;

export function checkForm({ files, lines, events }: Examined): Verdict {
  const bytes = payloadBytes(files, RECORD);
  const findings: Finding[] = [];
  if (bytes === null || lines.length === 0) {
    findings.push(
      failure('record-missing', 'There is no record, or it is empty.', `data/${RECORD}`),
    );
  } else if (bytes[bytes.length - 1] !== 0x0a) {
    findings.push(
      failure(
        'record-cut',
        'The last line of the record is not ended by a line feed.',
        lineAt(lines.length - 1),
      ),
    );
  }
  if (lines.length > MOST_ENTRIES) {
    findings.push(
      failure('record-long', `The record has more than ${MOST_ENTRIES} entries.`, `data/${RECORD}`),
    );
  }
  for (const [seq, line] of lines.entries()) {
    if (findings.length >= MOST_FINDINGS) break;
    if (!line.ok) findings.push(failure(`entry-${line.flaw.code}`, line.flaw.says, lineAt(seq)));
  }
  if (findings.length === 0) {
    for (const [seq, event] of events.entries()) {
      if (findings.length >= MOST_FINDINGS) break;
      if (!event.ok)
        findings.push(failure(`body-${event.flaw.code}`, event.flaw.says, lineAt(seq)));
    }
  }
  return judged(findings, `All ${lines.length} entries are canonical and of a known form.`);
}

type Judge = (last: SealedEntry | null, next: SealedEntry) => Outcome<SealedEntry>;

function walked(sealed: readonly SealedEntry[], judge: Judge): Finding[] {
  const findings: Finding[] = [];
  let last: SealedEntry | null = null;
  for (const [seq, next] of sealed.entries()) {
    const outcome = judge(last, next);
    if (!outcome.ok) findings.push(failure(outcome.flaw.code, outcome.flaw.says, lineAt(seq)));
    if (findings.length >= MOST_FINDINGS) break;
    last = next;
  }
  return findings;
}

export function checkOrder({ sealed }: Examined): Verdict {
  if (sealed === null) return unreadable('the record');
  const findings = walked(sealed, checkedOrder);
  return judged(
    findings,
    `Entries 0 to ${sealed.length - 1} of one job, without a hole, under one program and one set of rules.`,
  );
}

export function checkChain({ sealed }: Examined): Verdict {
  if (sealed === null) return unreadable('the record');
  return judged(walked(sealed, checkedLink), 'Every entry names the hash of the one before it.');
}

/** Signatures asked for at once: enough to keep every thread busy while the other checks run. */
const AT_ONCE = 4096;

export async function checkSignatures({ sealed, keys, primitives }: Examined): Promise<Verdict> {
  if (sealed === null) return unreadable('the record');
  if (!keys.ok) return unreadable('the list of keys');
  const known = new Map(keys.value.keys.map(({ key, publicKey }) => [key, publicKey]));
  const findings: Finding[] = [];
  for (let from = 0; from < sealed.length && findings.length < MOST_FINDINGS; from += AT_ONCE) {
    const batch = sealed.slice(from, from + AT_ONCE);
    const asked = batch.map((entry) => {
      const key = known.get(entry.entry.key);
      return key !== undefined && signatureStands(entry, key, primitives);
    });
    for (const [at, stood] of (await Promise.all(asked)).entries()) {
      if (stood) continue;
      const seq = from + at;
      const key = batch[at]?.entry.key ?? '';
      const says = known.has(key)
        ? `The signature of entry ${seq} does not fit it: the entry or the signature was changed, or another key made it.`
        : `The signature of entry ${seq} cannot be checked: its key ${key} is not in the list of keys.`;
      findings.push(failure('signature-bad', says, lineAt(seq)));
    }
  }
  return judged(findings, `All ${sealed.length} signatures stand.`);
}
