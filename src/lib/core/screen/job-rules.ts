/** Second looks that one job gives reason for. */
import type { Finding } from './finding.ts';
import { evennessOf, floorName, longestRun, paceOf, type Thresholds } from './thresholds.ts';
import { isSafety, type Act, type Trace } from './trace.ts';

type Look = (job: Trace, thresholds: Thresholds) => Finding[];

/** Seconds of the wall clock against the running one that are put down to setting it right. */
const CLOCK_SLACK = 2;

function finding(
  rule: Finding['rule'],
  weight: Finding['weight'],
  { job, lead }: Trace,
  rest: Pick<Finding, 'figures'> & Partial<Pick<Finding, 'steps' | 'person'>>,
): Finding {
  return { rule, weight, job, jobs: [], person: lead, steps: [], ...rest };
}

/** D1: acts of the hand confirmed in a burst. */
const burst: Look = (job, { runLook, runAsk }) => {
  const run = longestRun(job);
  const [first] = run;
  if (first === undefined || run.length < runLook) return [];
  const figures = {
    count: run.length,
    longest: rounded(Math.max(...run.map(({ gap }) => gap))),
    threshold: runLook,
  };
  const weight = run.length >= runAsk ? 'ask' : 'look';
  const steps = run.map(({ step }) => step);
  return [finding('D1', weight, job, { figures, steps, person: first.by })];
};

/** Acts that are usually confirmed together, after work that took both hands. */
const BATCH = 3;

/**
 * D2: sooner than the act can be done, for a step that a life rests on or for the whole job. An act that
 * is one of up to three confirmed together is quick only if the time before them was too short for all.
 */
const pace: Look = (job, thresholds) => {
  const floor = ({ step, takes }: Act): number =>
    thresholds.floors.get(floorName(job.checklist.id, step.id)) ?? takes ?? 0;
  const inTime = (acts: readonly Act[]): boolean =>
    acts.every(({ gap }) => gap !== null) &&
    acts.reduce((sum, act) => sum + (act.gap ?? 0) - floor(act), 0) >= 0;
  const byPerson = Map.groupBy(job.acts, ({ by }) => by);
  const quick = job.acts.filter((act) => {
    if (!isSafety(act) || act.acted !== undefined || act.gap === null) return false;
    const own = byPerson.get(act.by) ?? [];
    const at = own.indexOf(act);
    const batches = Array.from({ length: BATCH }, (_, more) =>
      own.slice(Math.max(0, at - more), at + 1),
    );
    return !batches.some(inTime);
  });
  const share = paceOf(job);
  const slowEnough = share === null || share >= thresholds.paceShare;
  if (quick.length === 0 && slowEnough) return [];
  const figures = {
    quick: quick.length,
    share: share === null ? '–' : Math.round(share * 100),
    threshold: Math.round(thresholds.paceShare * 100),
    first: quick[0] === undefined ? '–' : `${rounded(quick[0].gap ?? 0)} s / ${quick[0].takes} s`,
  };
  const steps = quick.map(({ step }) => step.id);
  return [finding('D2', slowEnough ? 'look' : 'ask', job, { figures, steps })];
};

/** D3: gaps more alike than a day's work leaves them. */
const even: Look = (job, thresholds) => {
  const found = evennessOf(job);
  if (found === null || found.variation >= thresholds.even) return [];
  const figures = {
    variation: rounded(found.variation),
    gaps: found.gaps,
    threshold: rounded(thresholds.even),
  };
  return [finding('D3', 'look', job, { figures })];
};

/** D11 and D12: the wall clock against the running one. */
const clocks: Look = (job) => {
  let [back, ahead] = [0, 0];
  job.events.forEach((event, at) => {
    const before = job.events[at - 1];
    if (before === undefined) return;
    const wall = (Date.parse(event.at) - Date.parse(before.at)) / 1000;
    // Over a restart nothing bridges the gap, but time still does not run backwards.
    const ran = before.boot === event.boot ? (event.mono - before.mono) / 1000 : Math.max(0, wall);
    if (Number.isNaN(wall)) return;
    back = Math.max(back, ran - wall);
    ahead = Math.max(ahead, wall - ran);
  });
  return [
    ...(back > CLOCK_SLACK
      ? [finding('D11', 'ask', job, { figures: { seconds: rounded(back) } })]
      : []),
    ...(ahead > CLOCK_SLACK
      ? [finding('D12', 'note', job, { figures: { seconds: rounded(ahead) } })]
      : []),
  ];
};

/** D13: entered after power came back, told as done before it. */
const afterwards: Look = (job) => {
  const restored = job.acts.find(({ step }) => step.do === 'restore')?.at;
  if (restored === undefined) return [];
  const late = job.acts.filter(
    ({ at, acted, step }) =>
      acted !== undefined && acted < restored && at > restored && step.do !== 'restore',
  );
  if (late.length === 0) return [];
  const steps = late.map(({ step }) => step.id);
  return [finding('D13', 'ask', job, { figures: { count: late.length }, steps })];
};

/** D14: told as done before something that it rests on. The gate should have seen it. */
const early: Look = (job) => {
  const when = ({ acted, at }: Act): number => acted ?? at;
  const before = new Map<string, Act>();
  const found = job.acts.filter((act) => {
    const needs = (act.step.needs ?? []).flatMap((id) => before.get(id) ?? []);
    before.set(act.step.id, act);
    return act.acted !== undefined && needs.some((need) => when(need) > when(act));
  });
  if (found.length === 0) return [];
  const steps = found.map(({ step }) => step.id);
  return [finding('D14', 'ask', job, { figures: { count: found.length }, steps })];
};

/** D15: a proof of dead whose meter was not seen alive again. */
const proof: Look = (job) => {
  const steps = job.acts
    .filter(
      ({ step, result }) =>
        step.do === 'prove' && (result.before === undefined || result.after === undefined),
    )
    .map(({ step }) => step.id);
  return steps.length === 0
    ? []
    : [finding('D15', 'ask', job, { figures: { count: steps.length }, steps })];
};

/** D17: one lock on two points at once. */
const locks: Look = (job) => {
  const on = new Map<string, Map<string, string>>();
  const twice: { lock: string; steps: string[] }[] = [];
  for (const { step, result } of job.acts) {
    if (step.do !== 'lock' && step.do !== 'unlock') continue;
    const point = `${step.source} ${step.point}`;
    if (step.do === 'unlock') {
      for (const points of on.values()) points.delete(point);
      continue;
    }
    const { lock } = result;
    if (lock === undefined || lock === '') continue;
    const points = on.get(lock) ?? new Map<string, string>();
    const other = [...points].find(([name]) => name !== point)?.[1];
    if (other !== undefined) twice.push({ lock, steps: [other, step.id] });
    on.set(lock, points.set(point, step.id));
  }
  return twice.map(({ lock, steps }) => finding('D17', 'ask', job, { figures: { lock }, steps }));
};

export const rounded = (value: number): number => Math.round(value * 100) / 100;

const LOOKS: readonly Look[] = [burst, pace, even, clocks, afterwards, early, proof, locks];

export function looksAtJob(job: Trace, thresholds: Thresholds): Finding[] {
  return LOOKS.flatMap((look) => look(job, thresholds));
}
