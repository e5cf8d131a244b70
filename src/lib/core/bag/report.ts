/** What a verifier says: every check, in one order, each held, failed or not run, with where and why. */

export const SAFETY_CHECKS = [
  'safety.P1',
  'safety.P2',
  'safety.P3',
  'safety.P4',
  'safety.P5',
  'safety.P6',
  'safety.P7',
  'safety.P8',
  'safety.P9',
  'safety.P10',
  'safety.P11',
  'safety.P12',
] as const;
export type SafetyCheckId = (typeof SAFETY_CHECKS)[number];

/** The closed set of checks, in the order in which they are reported. */
export const CHECK_IDS = [
  'archive',
  'bag',
  'manifest',
  'keys',
  'record.form',
  'record.order',
  'record.chain',
  'record.signatures',
  'record.clock',
  'record.end',
  'checklist',
  'photos',
  'disclosures',
  'receipts',
  'timestamps',
  ...SAFETY_CHECKS,
  'front',
] as const;
export type CheckId = (typeof CHECK_IDS)[number];

export type Status = 'held' | 'failed' | 'notRun';

/** One thing found: a failure, or something that a reader should know though nothing failed. */
export interface Finding {
  readonly code: string;
  readonly says: string;
  /** A file of the bag, or a line of the record: `data/record.jsonl line 12`. */
  readonly where?: string;
  /** True when this finding is what failed the check. */
  readonly fails: boolean;
}

export interface Verdict {
  readonly status: Status;
  /** One plain sentence. */
  readonly says: string;
  readonly findings: readonly Finding[];
}

export interface Check extends Verdict {
  readonly id: CheckId;
}

export function held(says: string, findings: readonly Finding[] = []): Verdict {
  return { status: 'held', says, findings };
}

export function notRun(says: string, findings: readonly Finding[] = []): Verdict {
  return { status: 'notRun', says, findings };
}

export function failure(code: string, says: string, where?: string): Finding {
  return { code, says, fails: true, ...(where === undefined ? {} : { where }) };
}

/** Worth knowing, and no failure. */
export function remark(code: string, says: string, where?: string): Finding {
  return { code, says, fails: false, ...(where === undefined ? {} : { where }) };
}

/** Failed when any finding fails, in the words of the first; held in the given words otherwise. */
export function judged(findings: readonly Finding[], otherwise: string): Verdict {
  const failing = findings.filter((finding) => finding.fails);
  const first = failing[0];
  if (first === undefined) return held(otherwise, findings);
  const place = first.where === undefined ? '' : ` (${first.where})`;
  const more = failing.length === 1 ? '' : ` And ${failing.length - 1} more.`;
  return { status: 'failed', says: `${first.says}${place}${more}`, findings };
}
