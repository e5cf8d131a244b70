/** The report as a whole: one sentence of verdict, every check, every finding, and what job it was. */
import type { Examined } from './examined.ts';
import type { Check, CheckId, Finding } from './report.ts';

/** What a reader wants to know of the job before anything else. */
export interface JobSummary {
  readonly id: string;
  readonly demonstration: boolean;
  readonly checklist: { readonly id: string; readonly revision: number; readonly title?: string };
  readonly entries: number;
  /** RFC 3339, of the first and the last entry. */
  readonly opened: string;
  readonly last: string;
  readonly people: readonly string[];
  /** Hash of the last entry. */
  readonly head: string;
}

export interface FoundAt extends Finding {
  readonly check: CheckId;
}

/** `jobBroke`: the record is whole, and the job that it tells of broke a safety property. */
export type Conclusion = 'holds' | 'endNotProven' | 'jobBroke' | 'fails';

export interface BagReport {
  /** True when no check failed. */
  readonly ok: boolean;
  readonly conclusion: Conclusion;
  /** One plain sentence. */
  readonly says: string;
  readonly checks: readonly Check[];
  readonly job: JobSummary | null;
  readonly findings: readonly FoundAt[];
  /** What was read, for showing it; null when the archive could not be opened. */
  readonly bag: Examined | null;
}

export function summaryOf(bag: Examined | null, checks: readonly Check[]): BagReport {
  const failed = checks.filter(({ status }) => status === 'failed');
  const conclusion = conclusionOf(failed);
  return {
    ok: failed.length === 0,
    conclusion,
    says: sentence(conclusion, checks, failed),
    checks,
    job: bag === null ? null : jobOf(bag),
    findings: checks.flatMap(({ id, findings }) => findings.map((one) => ({ check: id, ...one }))),
    bag,
  };
}

function conclusionOf(failed: readonly Check[]): Conclusion {
  if (failed.length === 0) return 'holds';
  const onlyEnd = failed.every(
    ({ id, findings }) =>
      id === 'record.end' &&
      findings.every(({ code, fails }) => !fails || code === 'end-not-proven'),
  );
  if (onlyEnd) return 'endNotProven';
  return failed.every(({ id }) => id.startsWith('safety.')) ? 'jobBroke' : 'fails';
}

function sentence(
  conclusion: Conclusion,
  checks: readonly Check[],
  failed: readonly Check[],
): string {
  const trusted = checks.find(({ id }) => id === 'keys')?.status === 'held';
  const whose = trusted
    ? ''
    : ' Whose keys signed it is not proven: no list of trusted keys was given.';
  switch (conclusion) {
    case 'holds':
      return `Nothing in this bag was changed since it was sealed, as far as these checks can see.${whose}`;
    case 'endNotProven':
      return `What is here was not changed, but the end is not proven: the record may go on after it.${whose}`;
    case 'jobBroke':
      return `Nothing in this bag was changed since it was sealed, but the job that it tells of did not keep ${failed.map(({ id }) => id).join(', ')}.${whose}`;
    case 'fails': {
      const names = failed.map(({ id }) => id).join(', ');
      const many = failed.length === 1 ? 'One check fails' : `${failed.length} checks fail`;
      return `Do not rely on this bag. ${many}: ${names}.`;
    }
  }
}

function jobOf(bag: Examined): JobSummary | null {
  const { sealed, checklist } = bag;
  const opened = bag.story?.[0];
  const [first, last] = [sealed?.[0], sealed?.at(-1)];
  if (sealed === null || opened?.type !== 'job.opened' || !first || !last) return null;
  const { id, revision } = opened.body.checklist;
  return {
    id: first.entry.job,
    demonstration: opened.body.demo,
    checklist: { id, revision, ...(checklist.ok ? { title: checklist.value.title } : {}) },
    entries: sealed.length,
    opened: first.entry.at,
    last: last.entry.at,
    people: [...new Set(sealed.map(({ entry }) => entry.by))],
    head: last.hash,
  };
}
