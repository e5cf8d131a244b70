/** Second looks that only many jobs together give reason for. */
import type { Finding } from './finding.ts';
import { rounded } from './job-rules.ts';
import { deviation, evenness, median, modifiedScores, OUTLYING } from './statistics.ts';
import { isSafety, readingsOf, runsFree, type Reading, type Trace } from './trace.ts';

/** Last digits say nothing below this many readings. */
export const LEAST_DIGITS = 100;
const BY_CHANCE = 0.001;
const DAY = 86_400_000;

export function looksAtCrew(jobs: readonly Trace[]): Finding[] {
  const people = [...new Set(jobs.map(({ lead }) => lead))];
  const readings = new Map(jobs.map((job) => [job, readingsOf(job).filter(runsFree)]));
  const all = [...readings.values()].flat();
  const free = freeRunning(all);
  return [
    ...people.flatMap((person) => {
      const own = jobs.filter(({ lead }) => lead === person);
      return [
        ...lastDigits(person, own, free),
        ...hugging(person, own, all),
        ...spotless(person, own),
        ...nothingOpened(person, own),
        ...clumps(person, own),
        ...late(person, own),
      ];
    }),
    ...twoPlaces(jobs),
    ...outliers(people, jobs),
  ];
}

function about(
  rule: Finding['rule'],
  person: string,
  own: readonly Trace[],
  figures: Finding['figures'],
  weight: Finding['weight'] = 'look',
): Finding[] {
  const ids = own.map(({ job }) => job);
  const job = ids.at(-1) ?? '';
  return [{ rule, weight, job, jobs: ids.slice(0, -1).slice(-10), person, steps: [], figures }];
}

/** Counts of the last place that a reading has to spread over before its last digit is left to chance. */
const FREE_COUNTS = 10;

/** Readings of steps on which the last digit runs free: the crew's values spread over many counts of it. */
export function freeRunning(all: readonly Reading[]): Reading[] {
  const places = ({ value }: Reading): number => value.split('.')[1]?.length ?? 0;
  const groups = Map.groupBy(all, (one) => `${one.name} ${one.unit} ${places(one)}`);
  return [...groups.values()]
    .filter((group) => {
      const spread = deviation(group.map(({ value }) => Number(value)));
      const [first] = group;
      return first !== undefined && spread !== null && spread * 10 ** places(first) >= FREE_COUNTS;
    })
    .flat();
}

/** D8: the last digit of a meter that runs free is as often one as another. */
function lastDigits(person: string, own: readonly Trace[], free: readonly Reading[]): Finding[] {
  const digits = free
    .filter(({ by, value }) => by === person && value.replaceAll(/\D/g, '').length >= 3)
    .map(({ value }) => Number(value.at(-1)));
  if (digits.length < LEAST_DIGITS) return [];
  const counts = Array.from({ length: 10 }, (_, digit) => digits.filter((d) => d === digit).length);
  const found = evenness(counts);
  if (found === null || found.p >= BY_CHANCE) return [];
  const figures = {
    readings: digits.length,
    chi2: rounded(found.chi2),
    p: found.p.toExponential(1),
    counts: counts.join(' '),
  };
  return about('D8', person, own, figures);
}

/** D9: readings closer together than those of everybody else on the same steps. */
function hugging(person: string, own: readonly Trace[], all: readonly Reading[]): Finding[] {
  const byName = Map.groupBy(all, ({ name, unit }) => `${name} ${unit}`);
  const ratios: number[] = [];
  let count = 0;
  for (const group of byName.values()) {
    const [mine, theirs] = [true, false].map((is) =>
      group.filter(({ by }) => (by === person) === is).map(({ value }) => Number(value)),
    ) as [number[], number[]];
    const [here, there] = [deviation(mine), deviation(theirs)];
    if (mine.length < 5 || theirs.length < 10 || here === null || !there) continue;
    ratios.push(here / there);
    count += mine.length;
  }
  const ratio = median(ratios);
  if (count < 30 || ratio === null || ratio >= 0.5) return [];
  return about('D9', person, own, { readings: count, ratio: rounded(ratio) });
}

/** D10: a hundred jobs and not one refused try, gap or lapse. */
function spotless(person: string, own: readonly Trace[]): Finding[] {
  const last = own.slice(-100);
  const exceptions = last.some(({ refusals, gaps, lapses }) => refusals + gaps + lapses > 0);
  return last.length < 100 || exceptions ? [] : about('D10', person, last, { jobs: last.length });
}

/** D18: never a connector off on lists that have a step for it. */
function nothingOpened(person: string, own: readonly Trace[]): Finding[] {
  const withEnds = own.filter(
    ({ checklist, events }) =>
      checklist.steps.some((step) => step.do === 'disconnect') &&
      events.some(({ type }) => type === 'job.closed'),
  );
  const none = withEnds.every(({ acts }) =>
    acts.every(({ result }) => (result.connectors ?? []).length === 0),
  );
  return withEnds.length < 3 || !none
    ? []
    : about('D18', person, withEnds, { jobs: withEnds.length });
}

/** D20: most of a day with several jobs entered within a quarter of an hour, by when it was made. */
function clumps(person: string, own: readonly Trace[]): Finding[] {
  const entries = own.flatMap((job) =>
    job.events.flatMap(({ at, by, type }) =>
      by === person && type === 'step.done'
        ? [{ job, day: at.slice(0, 10), ms: Date.parse(at) }]
        : [],
    ),
  );
  return [...Map.groupBy(entries, ({ day }) => day)].flatMap(([day, some]) => {
    const jobs = [...new Set(some.map(({ job }) => job))];
    if (some.length < 20 || jobs.length < 3) return [];
    const times = some.map(({ ms }) => ms).toSorted((a, b) => a - b);
    let [most, from] = [0, 0];
    times.forEach((time, to) => {
      while (time - (times[from] ?? 0) > 15 * 60_000) from += 1;
      most = Math.max(most, to - from + 1);
    });
    const share = Math.round((most / times.length) * 100);
    return share <= 60 ? [] : about('D20', person, jobs, { day, share, entries: times.length });
  });
}

/** D21: many safety facts of the last thirty days entered after the act. */
function late(person: string, own: readonly Trace[]): Finding[] {
  const end = Math.max(...own.map(({ lastAt }) => lastAt));
  const recent = own.filter(({ lastAt }) => end - lastAt <= 30 * DAY);
  const facts = recent.flatMap(({ acts }) => acts).filter(isSafety);
  const count = facts.filter(({ acted }) => acted !== undefined).length;
  const share = Math.round((count / Math.max(1, facts.length)) * 100);
  return facts.length < 20 || share <= 15
    ? []
    : about('D21', person, recent, { share, facts: facts.length });
}

/** D16: one person's acts on two jobs, there and back within two minutes. */
function twoPlaces(jobs: readonly Trace[]): Finding[] {
  const acts = jobs
    .flatMap((job) => job.acts.map(({ by, at }) => ({ job, by, at })))
    .filter(({ at }) => !Number.isNaN(at));
  const found = new Map<string, Finding>();
  for (const [person, own] of Map.groupBy(acts, ({ by }) => by)) {
    own.sort((a, b) => a.at - b.at);
    own.forEach((third, at) => {
      const [first, second] = [own[at - 2], own[at - 1]];
      if (first === undefined || second === undefined) return;
      if (first.job !== third.job || second.job === third.job || third.at - first.at > 120_000)
        return;
      const figures = { seconds: rounded((third.at - first.at) / 1000) };
      const [finding] = about('D16', person, [second.job, third.job], figures, 'ask');
      const pair = [second.job.job, third.job.job].toSorted().join(' ');
      if (finding !== undefined && !found.has(pair)) found.set(pair, finding);
    });
  }
  return [...found.values()];
}

/** D22: refusals, gaps or lapses far from everybody's. Never how quick somebody is. */
function outliers(people: readonly string[], jobs: readonly Trace[]): Finding[] {
  const profiles = people
    .map((person) => ({ person, own: jobs.filter(({ lead }) => lead === person) }))
    .filter(({ own }) => own.length >= 30);
  if (profiles.length < 5) return [];
  return (['refusals', 'gaps', 'lapses'] as const).flatMap((what) => {
    const rates = profiles.map(
      ({ own }) => own.reduce((sum, job) => sum + job[what], 0) / own.length,
    );
    const scores = modifiedScores(rates) ?? [];
    return profiles.flatMap(({ person, own }, at) => {
      const z = scores[at] ?? 0;
      const figures = { what, z: rounded(z), rate: rounded(rates[at] ?? 0), jobs: own.length };
      return Math.abs(z) <= OUTLYING ? [] : about('D22', person, own, figures);
    });
  });
}
