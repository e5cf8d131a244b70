/** `keys`: is every signing key sound, known, its person's own, and one that the verifier trusts? */
import type { Examined } from '../examined.ts';
import type { KeyList, KnownKey } from '../keys.ts';
import { KEYS } from '../layout.ts';
import { failure, judged, notRun, remark } from '../report.ts';
import type { Finding, FixedFindingCode, Verdict } from '../report.ts';
import { unreadable } from './container.ts';
import { joiningsOf, type Joinings } from './joinings.ts';

const FILE = `data/${KEYS}`;

export async function checkKeys(bag: Examined): Promise<Verdict> {
  const { keys, trust, info } = bag;
  if (!keys.ok) {
    const says = `The list of keys cannot be used: ${keys.flaw.says}`;
    return judged([failure('keys-form', says, FILE)], '');
  }
  if (bag.sealed === null) return unreadable('the record');
  const joinings = await joiningsOf(bag);
  const used = usedKeys(bag, keys.value, joinings.vouched);
  const findings = [...used.findings, ...joinings.findings];
  if (trust === null) {
    const says = `${used.keys.length} keys are sound and each is one person's, but no list of trusted keys was given: whose they really are is not proven.`;
    return findings.some(({ fails }) => fails) ? judged(findings, '') : notRun(says, findings);
  }
  for (const key of used.keys) findings.push(...trustFindings(key, used, trust));
  const sealing = keys.value.keys.find(
    ({ key }) => typeof info !== 'string' && key === info.sealedBy,
  );
  if (sealing !== undefined && !trust.keys.some(({ key }) => key === sealing.key)) {
    findings.push(
      remark(
        'seal-key-untrusted',
        `The key that sealed the bag (${sealing.key}, said to be of “${sealing.person}”) is not on the list of trusted keys. The record does not rest on it; what only the seal protects (the day of the export, what was left out) does.`,
        FILE,
      ),
    );
  }
  const people = [...new Set(used.keys.map(({ person }) => person))].join(', ');
  return judged(
    findings,
    `Every entry is signed by a trusted key of the person it names: ${people}.`,
  );
}

interface Used {
  readonly keys: readonly KnownKey[];
  /** Key to the key of the same person that vouched for it in this record. */
  readonly vouched: ReadonlyMap<string, string>;
  readonly findings: readonly Finding[];
}

/** Which keys signed, and whether each entry is signed by a key of its own author. */
function usedKeys(
  { sealed, events }: Examined,
  list: KeyList,
  joinings: Joinings['vouched'],
): Used {
  const byName = new Map(list.keys.map((key) => [key.key, key]));
  const current = new Map<string, string>();
  const vouched = new Map<string, string>();
  const joined = new Map<string, string>();
  const used = new Map<string, KnownKey>();
  const findings = new Map<string, Finding>();
  for (const [seq, { entry }] of (sealed ?? []).entries()) {
    const where = `data/record.jsonl line ${seq + 1}`;
    const known = byName.get(entry.key);
    const fail = (code: FixedFindingCode, says: string): void => {
      const key = `${code} ${entry.key} ${entry.by}`;
      if (!findings.has(key)) findings.set(key, failure(code, says, where));
    };
    if (known === undefined) {
      fail(
        'key-unknown',
        `Entry ${seq} is signed by the key ${entry.key}, which is not in the list of keys.`,
      );
      continue;
    }
    used.set(known.key, known);
    if (known.person !== entry.by || known.use !== 'entries') {
      fail(
        'key-other-person',
        `Entry ${seq} is by “${entry.by}”, and its key is of “${known.person}” (${known.use}).`,
      );
    }
    const before = current.get(entry.by);
    const joining = joinings.get(seq);
    if (joining !== undefined) {
      vouched.set(joining.hand, joining.own);
      joined.set(joining.hand, joining.own);
    }
    // Who joined by a code has two keys that belong together: on their own device and on this one.
    const together = before !== undefined && joined.get(before) === entry.key;
    const said = before === entry.key || vouched.get(entry.key) === before || together;
    if (before !== undefined && !said) {
      fail(
        'key-changed',
        `From entry ${seq} on “${entry.by}” signs with another key, and the one before did not say so.`,
      );
    }
    current.set(entry.by, entry.key);
    const event = events[seq];
    if (event?.ok && event.value.type === 'key.rotated' && event.value.body.person === entry.by) {
      vouched.set(event.value.body.key, entry.key);
    }
  }
  return { keys: [...used.values()], vouched, findings: [...findings.values()] };
}

function trustFindings(key: KnownKey, used: Used, trust: KeyList): Finding[] {
  const trusted = trust.keys.find((one) => one.key === key.key);
  if (trusted !== undefined) {
    if (trusted.person === key.person) return [];
    const says = `The key ${key.key} is trusted as that of “${trusted.person}”, and signs here for “${key.person}”.`;
    return [failure('key-other-person', says, FILE)];
  }
  const voucher = used.vouched.get(key.key);
  if (
    voucher !== undefined &&
    trust.keys.some((one) => one.key === voucher && one.person === key.person)
  ) {
    const says = `The key ${key.key} of “${key.person}” is not on the list; the trusted key ${voucher} of the same person vouched for it in this record.`;
    return [remark('key-vouched', says, FILE)];
  }
  const says = `The key ${key.key}, said to be of “${key.person}”, is not on the list of trusted keys: who signed with it is not proven.`;
  return [failure('key-untrusted', says, FILE)];
}
