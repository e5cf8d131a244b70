/** What a verifier says: every check, in one order, each held, failed or not run, with where and why. */
import type { FlawCode } from '../record/outcome.ts';
import type { PropertyId } from '../safety/index.ts';

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

/** What can be found besides flaws of single entries and broken properties; each has words of its own. */
export const FINDING_CODES = [
  'acted-later',
  'archive-bad',
  'archive-content',
  'archive-folder',
  'archive-long',
  'archive-repacked',
  'bag-declaration',
  'bag-demonstration',
  'bag-empty',
  'bag-fetch',
  'bag-info',
  'bag-manifest-missing',
  'bag-other-job',
  'bag-other-record',
  'bag-size',
  'checklist-form',
  'checklist-name',
  'checklist-other',
  'clock-ahead',
  'clock-office',
  'clock-back',
  'clock-restart',
  'clock-running-back',
  'demonstration',
  'disclosure-erased',
  'disclosure-form',
  'disclosure-other',
  'disclosure-twice',
  'end-not-proven',
  'erased',
  'erased-nothing',
  'file-changed',
  'file-missing',
  'file-strange',
  'file-unlisted',
  'front-missing',
  'front-other',
  'front-pdf',
  'front-strange',
  'front-version',
  'job-number-time',
  'job-open',
  'joining-bad',
  'key-changed',
  'key-other-person',
  'key-unknown',
  'key-untrusted',
  'key-vouched',
  'keys-form',
  'late-entry',
  'manifest-form',
  'manifest-missing',
  'manifest-none',
  'manifest-other',
  'manifest-scope',
  'photo-blurred',
  'photo-changed',
  'photo-erased',
  'photo-kept',
  'photo-missing',
  'photo-strange',
  'photo-withheld',
  'rebase-other',
  'rebased',
  'receipt-bad',
  'receipt-beyond',
  'receipt-order',
  'record-cut',
  'record-long',
  'record-missing',
  'seal-bad',
  'seal-key-untrusted',
  'seal-other',
  'seal-other-key',
  'seen-shrinks',
  'shown-changed',
  'shown-form',
  'shown-missing',
  'shown-steps',
  'shown-translation',
  'signature-bad',
  'timestamp',
  'timestamp-bad',
  'timestamp-of-nothing',
  'unjudged',
  'withheld',
] as const;
export type FixedFindingCode = (typeof FINDING_CODES)[number];
export type FindingCode =
  FixedFindingCode | FlawCode | `entry-${FlawCode}` | `body-${FlawCode}` | `broke-${PropertyId}`;

/** One thing found: a failure, or something that a reader should know though nothing failed. */
export interface Finding {
  readonly code: FindingCode;
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

export function failure(code: FindingCode, says: string, where?: string): Finding {
  return { code, says, fails: true, ...(where === undefined ? {} : { where }) };
}

/** Worth knowing, and no failure. */
export function remark(code: FindingCode, says: string, where?: string): Finding {
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
