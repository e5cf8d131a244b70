/** `receipts` and `timestamps`: what others, not the device, can say about when the record was there. */
import { payloadBytes, payloadOf } from '../examined.ts';
import type { Examined } from '../examined.ts';
import { receiptPath, RECORD } from '../layout.ts';
import type { Outcome } from '../../record/outcome.ts';
import { linesOf } from '../../record/chain.ts';
import { failure, judged, notRun, remark } from '../report.ts';
import type { Finding, Verdict } from '../report.ts';
import { unreadable } from './container.ts';
import { lineAt } from './record.ts';

export function checkReceipts(bag: Examined): Verdict {
  const { receipts, sealed, trust } = bag;
  if (sealed === null) return unreadable('the record');
  if (receipts.length === 0) {
    return notRun(
      'Not run: the bag has no receipts. No server has vouched for when these entries existed.',
    );
  }
  if (trust === null || trust.logs.length === 0) {
    const beyond = receipts.filter(({ seq }) => seq >= sealed.length);
    const findings = beyond.map(({ seq }) => beyondFinding(seq));
    if (findings.length > 0) return judged(findings, '');
    return notRun(
      `Not run: the bag has ${receipts.length} receipts, and no trusted log was given to check them with.`,
    );
  }
  const findings: Finding[] = [];
  const newest = new Map<string, number>();
  for (const { seq, opened } of receipts) {
    const where = `data/${receiptPath(seq)}`;
    if (!opened.ok) {
      findings.push(
        failure(seq >= sealed.length ? 'receipt-beyond' : 'receipt-bad', opened.flaw.says, where),
      );
      continue;
    }
    const { index, checkpoint } = opened.value;
    const last = newest.get(checkpoint.origin);
    if (last !== undefined && index <= last) {
      findings.push(
        failure('receipt-order', `Entry ${seq} was received before one that it follows.`, where),
      );
    }
    newest.set(checkpoint.origin, index);
  }
  const logs = [...newest.keys()].join(', ');
  return judged(findings, `${receipts.length} entries are proven to stand in the log of ${logs}.`);
}

function beyondFinding(seq: number): Finding {
  return failure(
    'receipt-beyond',
    `There is a receipt for entry ${seq}, which is not here: the record was cut after it was received.`,
    `data/${receiptPath(seq)}`,
  );
}

/** Checks one RFC 3161 token over some data: when, and by which authority. */
export type TokenCheck = (
  token: Uint8Array,
  data: Uint8Array,
  authorities: readonly Uint8Array[],
) => Promise<Outcome<{ readonly at: string; readonly authority: string }>>;

export async function checkTimestamps(
  bag: Examined,
  check: TokenCheck | undefined,
): Promise<Verdict> {
  const tokens = payloadOf(bag.files).flatMap(({ path, place }) =>
    place.kind === 'timestamp' ? [{ path, place }] : [],
  );
  const events = bag.story;
  if (bag.sealed === null || events === null) return unreadable('the record');
  if (tokens.length === 0) return notRun('Not run: the bag has no outside time-stamps.');
  const authorities = bag.trust?.authorities ?? [];
  if (check === undefined || authorities.length === 0) {
    return notRun(
      `Not run: the bag has ${tokens.length} time-stamps, and no trusted authority was given to check them with.`,
    );
  }
  const lines = [...linesOf(payloadBytes(bag.files, RECORD) ?? new Uint8Array())];
  const findings: Finding[] = [];
  for (const { path, place } of tokens) {
    const token = bag.files.get(path)?.bytes;
    const data =
      place.of === 'entry'
        ? lineWithFeed(lines[place.seq])
        : bag.files.get(`data/${receiptPath(place.seq)}`)?.bytes;
    if (!token || !data) {
      findings.push(
        failure(
          'timestamp-of-nothing',
          `What this time-stamp was made over is not in the bag.`,
          path,
        ),
      );
      continue;
    }
    const checked = await check(token, data, authorities);
    if (!checked.ok) {
      findings.push(failure('timestamp-bad', checked.flaw.says, path));
    } else {
      const { at, authority } = checked.value;
      findings.push(
        remark(
          'timestamp',
          `“${authority}” saw ${place.of} ${place.seq} no later than ${at}.`,
          lineAt(place.seq),
        ),
      );
    }
  }
  return judged(findings, `${tokens.length} time-stamps of trusted authorities stand.`);
}

function lineWithFeed(line: Uint8Array | undefined): Uint8Array | undefined {
  if (line === undefined) return undefined;
  const bytes = new Uint8Array(line.length + 1);
  bytes.set(line);
  bytes[line.length] = 0x0a;
  return bytes;
}
