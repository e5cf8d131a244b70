/**
 * From where on a second look is asked for: starting values, and what a crew's own first jobs teach.
 *
 * Learning can only make a rule more patient, and only so far: a crew that invents records must not
 * teach the rules to expect it. The values in use are shown beside every finding.
 */
import { quantile, variation } from './statistics.ts';
import { isPhysical } from './trace.ts';
import type { Trace } from './trace.ts';

/** Jobs that are learned from, the first of a crew. */
export const LEARNING_JOBS = 200;
/** Seconds: a physical act confirmed sooner after the last was hardly done in between. */
export const QUICK = 6;

export interface Thresholds {
  /** Jobs that these were learned from; below `LEARNING_JOBS` they are starting values. */
  readonly jobs: number;
  readonly learned: boolean;
  /** D1: quick confirmations in a row from which to look, and from which to ask. */
  readonly runLook: number;
  readonly runAsk: number;
  /** D2: share of the summed least times below which a whole job is asked about. */
  readonly paceShare: number;
  /** D2: seconds of a step that are asked about, where the crew is quicker than `takes`; by checklist and step. */
  readonly floors: ReadonlyMap<string, number>;
  /** D3: variation of the gaps below which a job is too even. */
  readonly even: number;
}

export const STARTING: Thresholds = {
  jobs: 0,
  learned: false,
  runLook: 4,
  runAsk: 6,
  paceShare: 0.5,
  floors: new Map(),
  even: 0.5,
};

/** How far learning may go from the starting values. */
const MOST_RUN = 8;
const LEAST_PACE = 0.35;
const LEAST_FLOOR = 0.5;
const LEAST_EVEN = 0.35;

/** @param first the crew's first jobs, in order; no more than `LEARNING_JOBS` are read */
export function learned(first: readonly Trace[]): Thresholds {
  const jobs = first.slice(0, LEARNING_JOBS);
  if (jobs.length < LEARNING_JOBS) return { ...STARTING, jobs: jobs.length };
  const runs = jobs.map((job) => longestRun(job).length);
  const usual = quantile(runs, 0.99) ?? 0;
  const runLook = Math.min(MOST_RUN, Math.max(STARTING.runLook, Math.floor(usual) + 1));
  const paces = jobs.flatMap((job) => paceOf(job) ?? []);
  const evens = jobs.flatMap((job) => evennessOf(job)?.variation ?? []);
  return {
    jobs: jobs.length,
    learned: true,
    runLook,
    runAsk: runLook + (STARTING.runAsk - STARTING.runLook),
    paceShare: between(LEAST_PACE, quantile(paces, 0.01), STARTING.paceShare),
    floors: floorsOf(jobs),
    even: between(LEAST_EVEN, quantile(evens, 0.01), STARTING.even),
  };
}

const between = (least: number, value: number | null, most: number): number =>
  Math.min(most, Math.max(least, value ?? most));

/** The first percentile of every step, where it lies below what its checklist says. */
function floorsOf(jobs: readonly Trace[]): Map<string, number> {
  const gaps = new Map<string, number[]>();
  const takes = new Map<string, number>();
  for (const { checklist, acts } of jobs)
    for (const { step, gap, takes: least } of acts) {
      if (gap === null || least === null) continue;
      const name = floorName(checklist.id, step.id);
      takes.set(name, least);
      gaps.set(name, [...(gaps.get(name) ?? []), gap]);
    }
  return new Map(
    [...gaps].flatMap(([name, values]) => {
      const least = takes.get(name) ?? 0;
      const floor = between(least * LEAST_FLOOR, quantile(values, 0.01), least);
      return values.length >= 30 && floor < least ? [[name, floor] as const] : [];
    }),
  );
}

export const floorName = (checklist: string, step: string): string => `${checklist} ${step}`;

/** The longest run of physical acts each confirmed within `QUICK` seconds of the last, by one person. */
export function longestRun({ acts }: Trace): readonly { step: string; by: string; gap: number }[] {
  let best: { step: string; by: string; gap: number }[] = [];
  for (const person of new Set(acts.map(({ by }) => by))) {
    let run: typeof best = [];
    for (const act of acts) {
      if (act.by !== person) continue;
      const quick = isPhysical(act) && act.acted === undefined && act.gap !== null;
      if (quick && (act.gap ?? 0) < QUICK)
        run.push({ step: act.step.id, by: person, gap: act.gap ?? 0 });
      else run = [];
      if (run.length > best.length) best = [...run];
    }
  }
  return best;
}

/** Time spent as a share of the least honest time of what was done; null when too little is known. */
export function paceOf({ acts }: Trace): number | null {
  let [spent, least] = [0, 0];
  for (const { gap, takes, acted } of acts) {
    if (gap === null || takes === null || acted !== undefined) continue;
    spent += gap;
    least += takes;
  }
  return least < 60 ? null : spent / least;
}

const LEAST_GAPS = 15;

/** How much the gaps between acts differ; null below fifteen of them. */
export function evennessOf({ acts }: Trace): { variation: number; gaps: number } | null {
  const gaps = acts.flatMap(({ gap }) => gap ?? []);
  const value = gaps.length < LEAST_GAPS ? null : variation(gaps);
  return value === null ? null : { variation: value, gaps: gaps.length };
}
