/** Who joined by a code: whether their own key has signed for it, and for which key here. */
import { joiningFault, type JoiningFault } from '../../record/joining.ts';
import { fromBase64url } from '../../record/bytes.ts';
import { thumbprintOf } from '../../record/thumbprint.ts';
import type { Examined } from '../examined.ts';
import { failure } from '../report.ts';
import type { Finding } from '../report.ts';

/** Thumbprints: the key that they sign with on the device of the job, and that of their own device. */
export interface Vouched {
  readonly hand: string;
  readonly own: string;
}

export interface Joinings {
  /** By the entry that tells of it. */
  readonly vouched: ReadonlyMap<number, Vouched>;
  readonly findings: readonly Finding[];
}

const WHY: Readonly<Record<JoiningFault | 'other' | 'twice', string>> = {
  form: 'what stands there is no key, code or signature',
  late: 'the code was not good at that time',
  signature: 'their own key has not signed for this job and this key',
  other: 'it is not an entry of their own',
  twice: 'the same code let somebody in before',
};

/** The joinings of a record, each judged against the entry that tells of it. */
export async function joiningsOf({ sealed, events, primitives }: Examined): Promise<Joinings> {
  const vouched = new Map<number, Vouched>();
  const findings: Finding[] = [];
  const codes = new Set<string>();
  for (const [seq, { entry }] of (sealed ?? []).entries()) {
    const event = events[seq];
    if (!event?.ok || event.value.type !== 'person.joined') continue;
    const { person, hand: how } = event.value.body;
    if (how?.by !== 'code') continue;
    const { job, key: hand, at } = entry;
    const own = entry.by === person ? null : 'other';
    const twice = codes.has(how.nonce) ? 'twice' : null;
    codes.add(how.nonce);
    const fault = own ?? twice ?? (await joiningFault({ job, hand, person, how, at }, primitives));
    if (fault === null) {
      const key = fromBase64url(how.own) ?? new Uint8Array();
      vouched.set(seq, { hand, own: thumbprintOf(key, primitives) });
      continue;
    }
    const says = `Entry ${seq} says that “${person}” joined by a code, and that does not stand: ${WHY[fault]}.`;
    findings.push(failure('joining-bad', says, `data/record.jsonl line ${seq + 1}`));
  }
  return { vouched, findings };
}
