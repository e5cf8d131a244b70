/** The second looks over the records of a crew. Pure: the same records give the same questions. */
import { looksAtCrew } from './crew-rules.ts';
import type { Finding } from './finding.ts';
import { looksAtJob } from './job-rules.ts';
import { looksAtRepeats } from './repeats.ts';
import { learned, type Thresholds } from './thresholds.ts';
import { traceOf, type ScreenJob, type Trace } from './trace.ts';

export interface Screened {
  readonly jobs: number;
  readonly thresholds: Thresholds;
  /** In the order of the rules, then of the jobs. */
  readonly findings: readonly Finding[];
}

/** What a crew's own first jobs teach. @param jobs in any order; no more than the first 200 are read */
export const learnedFrom = (jobs: readonly ScreenJob[]): Thresholds => learned(inOrder(jobs));

const inOrder = (jobs: readonly ScreenJob[]): Trace[] =>
  jobs.map(traceOf).toSorted((a, b) => a.openedAt - b.openedAt);

/**
 * @param jobs in any order; they are read by when they were opened
 * @param known thresholds that were learned from jobs which may not be among these
 */
export function screen(jobs: readonly ScreenJob[], known?: Thresholds): Screened {
  const traces = inOrder(jobs);
  const thresholds = known ?? learned(traces);
  const findings = [
    ...traces.flatMap((trace) => looksAtJob(trace, thresholds)),
    ...looksAtRepeats(traces),
    ...looksAtCrew(traces),
  ];
  const number = ({ rule }: Finding): number => Number(rule.slice(1));
  return {
    jobs: traces.length,
    thresholds,
    findings: findings.toSorted((a, b) => number(a) - number(b)),
  };
}
