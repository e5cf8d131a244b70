/**
 * What the records of a crew say about the programme: about gates, steps and lists, never about persons.
 * Nothing here ranks anybody, and no time of a step is kept with a name.
 */
import type { RefusalCode } from '../job/refusal.ts';
import { generalizedDeviates } from './extremes.ts';
import { binned, type Bin, type Counted } from './pictures.ts';
import { median, quantile } from './statistics.ts';
import { isSafety, traceOf, type ScreenJob, type Trace } from './trace.ts';

export interface StepTimes {
  readonly checklist: string;
  readonly step: string;
  readonly count: number;
  /** Seconds. */
  readonly median: number;
  readonly p10: number;
  readonly p90: number;
  /** The least honest time that the list gives, in seconds; null for none. */
  readonly takes: number | null;
  /** How many lie too far out to belong to the rest, by the logarithm of the time. */
  readonly out: number;
  /** Seconds up to the 98th part of a hundred; `beyond` counts what is longer. */
  readonly bins: readonly Bin[];
  readonly beyond: number;
}

export interface ProgrammeFigures {
  readonly jobs: number;
  /** Of the wall clock, milliseconds; 0 without jobs. */
  readonly from: number;
  readonly until: number;
  readonly refusals: readonly {
    readonly code: RefusalCode;
    readonly count: number;
    readonly jobs: number;
  }[];
  readonly lapses: readonly {
    readonly what: string;
    readonly count: number;
    /** Steps that ended with them, and how many of those were done again in the same job. */
    readonly steps: number;
    readonly again: number;
  }[];
  readonly late: { readonly facts: number; readonly late: number };
  /** Steps that apply and were left out with a reason. */
  readonly gaps: readonly {
    readonly checklist: string;
    readonly step: string;
    readonly count: number;
  }[];
  readonly tingles: number;
  readonly nearMisses: number;
  /** Refused tries, gaps and lapses of the jobs that were opened in a month. */
  readonly months: readonly Counted[];
  readonly times: readonly StepTimes[];
}

/** Below so many times a distribution says nothing. */
const LEAST_TIMES = 20;
const MOST_OUT = 10;
/** Values that the test for extremes is given at most: it tells the same on many. */
const MOST_TESTED = 500;

export function programmeFigures(records: readonly ScreenJob[]): ProgrammeFigures {
  const jobs = records.map(traceOf);
  const opened = jobs.map(({ openedAt }) => openedAt).filter((at) => !Number.isNaN(at));
  const events = jobs.flatMap((job) => job.events);
  return {
    jobs: jobs.length,
    from: opened.reduce((least, at) => Math.min(least, at), opened[0] ?? 0),
    until: opened.reduce((most, at) => Math.max(most, at), 0),
    refusals: refusalsOf(jobs),
    lapses: lapsesOf(jobs),
    late: lateOf(jobs),
    gaps: gapsOf(jobs),
    tingles: events.filter(({ type }) => type === 'tingle').length,
    nearMisses: events.filter(({ type }) => type === 'nearMiss').length,
    months: monthsOf(jobs),
    times: timesOf(jobs),
  };
}

/** A gate that is refused often is badly placed, or well placed: a person has to look which. */
function refusalsOf(jobs: readonly Trace[]): ProgrammeFigures['refusals'] {
  const found = new Map<RefusalCode, { count: number; jobs: Set<string> }>();
  for (const { job, events } of jobs)
    for (const event of events) {
      if (event.type !== 'try.refused') continue;
      for (const code of new Set(event.body.codes)) {
        const one = found.get(code) ?? { count: 0, jobs: new Set() };
        found.set(code, { count: one.count + 1, jobs: one.jobs.add(job) });
      }
    }
  return [...found]
    .map(([code, { count, jobs: named }]) => ({ code, count, jobs: named.size }))
    .toSorted((a, b) => b.count - a.count);
}

function lapsesOf(jobs: readonly Trace[]): ProgrammeFigures['lapses'] {
  const found = new Map<string, { count: number; steps: number; again: number }>();
  for (const { events } of jobs)
    events.forEach((event, at) => {
      if (event.type !== 'fact.lapsed') return;
      const one = found.get(event.body.what) ?? { count: 0, steps: 0, again: 0 };
      const done = new Set(
        events
          .slice(at + 1)
          .flatMap((later) => (later.type === 'step.done' ? [later.body.step] : [])),
      );
      found.set(event.body.what, {
        count: one.count + 1,
        steps: one.steps + event.body.steps.length,
        again: one.again + event.body.steps.filter((step) => done.has(step)).length,
      });
    });
  return [...found]
    .map(([what, counts]) => ({ what, ...counts }))
    .toSorted((a, b) => b.count - a.count);
}

function lateOf(jobs: readonly Trace[]): ProgrammeFigures['late'] {
  const facts = jobs.flatMap(({ acts }) => acts.filter(isSafety));
  return { facts: facts.length, late: facts.filter(({ acted }) => acted !== undefined).length };
}

function gapsOf(jobs: readonly Trace[]): ProgrammeFigures['gaps'] {
  const named = jobs.flatMap(({ checklist, events }) =>
    events.flatMap((event) =>
      event.type === 'step.notDone' && event.body.applies
        ? [{ checklist: checklist.id, step: event.body.step }]
        : [],
    ),
  );
  return [...Map.groupBy(named, ({ checklist, step }) => `${checklist} ${step}`).values()]
    .flatMap((some) => (some[0] === undefined ? [] : [{ ...some[0], count: some.length }]))
    .toSorted((a, b) => b.count - a.count);
}

function monthsOf(jobs: readonly Trace[]): Counted[] {
  const dated = jobs.filter(({ openedAt }) => !Number.isNaN(openedAt));
  return [...Map.groupBy(dated, ({ openedAt }) => new Date(openedAt).toISOString().slice(0, 7))]
    .map(([name, some]) => ({
      name,
      units: some.length,
      hits: some.reduce((sum, { refusals, gaps, lapses }) => sum + refusals + gaps + lapses, 0),
    }))
    .toSorted((a, b) => (a.name < b.name ? -1 : 1));
}

function timesOf(jobs: readonly Trace[]): StepTimes[] {
  const acts = jobs.flatMap((job) =>
    job.acts.flatMap(({ step, gap, takes, acted }) =>
      gap === null || gap <= 0 || acted !== undefined
        ? []
        : [{ checklist: job.checklist.id, step: step.id, gap, takes }],
    ),
  );
  return [...Map.groupBy(acts, ({ checklist, step }) => `${checklist} ${step}`).values()]
    .filter((some) => some.length >= LEAST_TIMES)
    .flatMap((some) => {
      const [first] = some;
      if (first === undefined) return [];
      const { checklist, step, takes } = first;
      const gaps = some.map(({ gap }) => gap);
      const share = (of: number): number => Math.round((quantile(gaps, of) ?? 0) * 10) / 10;
      const most = quantile(gaps, 0.98) ?? 0;
      const usual = gaps.filter((gap) => gap <= most);
      const tested = gaps.slice(-MOST_TESTED).map(Math.log);
      return [
        {
          checklist,
          step,
          takes,
          count: gaps.length,
          median: Math.round((median(gaps) ?? 0) * 10) / 10,
          p10: share(0.1),
          p90: share(0.9),
          out: generalizedDeviates(tested, MOST_OUT).out.length,
          bins: binned(usual),
          beyond: gaps.length - usual.length,
        },
      ];
    });
}
