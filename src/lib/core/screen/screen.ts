/** The second looks over the records of a crew. Pure: the same records give the same questions. */
import { looksAtCrew } from './crew-rules.ts';
import type { Finding } from './finding.ts';
import { looksAtJob } from './job-rules.ts';
import { looksAtRepeats } from './repeats.ts';
import { learned, type Thresholds } from './thresholds.ts';
import { traceOf, type ScreenJob } from './trace.ts';

export interface Screened {
  readonly jobs: number;
  readonly thresholds: Thresholds;
  /** In the order of the rules, then of the jobs. */
  readonly findings: readonly Finding[];
}

/** @param jobs in any order; they are read by when they were opened */
export function screen(jobs: readonly ScreenJob[]): Screened {
  const traces = jobs.map(traceOf).toSorted((a, b) => a.openedAt - b.openedAt);
  const thresholds = learned(traces);
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
