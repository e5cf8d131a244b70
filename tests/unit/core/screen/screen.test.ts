import { beforeAll, describe, expect, it } from 'vitest';
import { RULES, type Finding, type Rule } from '#lib/core/screen/finding.ts';
import { programmeFigures } from '#lib/core/screen/programme.ts';
import { FAKED, MADE_CREW, ratesOf } from '#lib/core/screen/rates.ts';
import { screen, type Screened } from '#lib/core/screen/screen.ts';
import { LEARNING_JOBS } from '#lib/core/screen/thresholds.ts';
import type { ScreenJob } from '#lib/core/screen/trace.ts';
import { WORDS, wordsOf } from '#lib/core/screen/words.ts';
import { madeJob, seeded, type Way } from '../../../support/made-crew.ts';

/** Two hundred honest jobs to learn from, then a hundred more, among which twenty of each other way. */
const { seed: SEED, each: EACH, honest: HONEST } = MADE_CREW;
const PEOPLE = ['mara', 'tomas', 'ode', 'ines', 'pia'];

function crew(seed: number): { jobs: ScreenJob[]; ways: Map<string, Way> } {
  const random = seeded(seed);
  const ways = new Map<string, Way>();
  const jobs: ScreenJob[] = [];
  const add = (way: Way): void => {
    const number = jobs.length;
    const person = PEOPLE[number % PEOPLE.length] ?? 'mara';
    const job = madeJob(
      way,
      number,
      person,
      random,
      way === 'copied' ? jobs[number - 7] : undefined,
    );
    ways.set(job.job, way);
    jobs.push(job);
  };
  for (let at = 0; at < HONEST; at += 1) add('honest');
  for (let at = 0; at < EACH; at += 1) for (const way of FAKED) add(way);
  return { jobs, ways };
}

let made: ReturnType<typeof crew>;
let found: Screened;
beforeAll(() => {
  made = crew(SEED);
  found = screen(made.jobs);
});

const jobsOf = (way: Way): string[] =>
  [...made.ways].filter(([, one]) => one === way).map(([job]) => job);

/** Share of the jobs made this way that a rule asks about, in percent. Notes ask nothing. */
function share(rule: Rule, way: Way): number {
  const asked = new Set(
    found.findings
      .filter((one) => one.rule === rule && one.weight !== 'note')
      .map(({ job }) => job),
  );
  const all = jobsOf(way);
  return Math.round((all.filter((job) => asked.has(job)).length / all.length) * 100);
}

describe('a made-up crew under one seed', () => {
  it('is made of jobs that the engine let through to the end', () => {
    expect(made.jobs.length).toBe(HONEST + EACH * FAKED.length);
    const ended = made.jobs.filter(({ events }) => events.at(-1)?.type === 'job.closed');
    expect(ended.length / made.jobs.length).toBeGreaterThan(0.95);
  });

  it('tells the hit and false-alarm rate of every rule', () => {
    const rows = RULES.map((rule) => ({
      rule,
      'false alarms, % of honest jobs': share(rule, 'honest'),
      ...Object.fromEntries(FAKED.map((way) => [way, share(rule, way)])),
    }));
    const lines = rows.map((row) => Object.values(row).join('\t'));
    process.stdout.write(`${[Object.keys(rows[0] ?? {}).join('\t'), ...lines].join('\n')}\n`);
    for (const row of rows)
      expect(row['false alarms, % of honest jobs'], row.rule).toBeLessThanOrEqual(3);
    // What the page of second looks tells of each rule.
    for (const rule of RULES)
      expect({ rule, ...ratesOf(rule) }).toEqual({
        rule,
        ...Object.fromEntries(
          (['honest', ...FAKED] as const).map((way) => [way, share(rule, way)]),
        ),
      });
    // Ten acts ticked from the van, and whole jobs invented, are what the first rules are there for.
    expect(share('D1', 'van')).toBeGreaterThanOrEqual(90);
    expect(share('D1', 'invented')).toBe(100);
    expect(share('D2', 'invented')).toBe(100);
    expect(share('D5', 'copied')).toBe(100);
    expect(share('D7', 'copied')).toBeGreaterThanOrEqual(90);
    expect(share('D11', 'rollback')).toBe(100);
  });

  it('learned from its first jobs, and shows what', () => {
    expect(found.thresholds).toMatchObject({ jobs: LEARNING_JOBS, learned: true });
    expect(found.thresholds.runLook).toBeGreaterThanOrEqual(4);
    expect(screen(made.jobs.slice(0, 30)).thresholds).toMatchObject({ jobs: 30, learned: false });
  });

  it('is no more patient than the bounds, whoever teaches it', () => {
    const random = seeded(7);
    const liars = Array.from({ length: LEARNING_JOBS }, (_, at) =>
      madeJob('invented', at, 'mara', random),
    );
    const { thresholds, findings } = screen(liars);
    expect(thresholds.runLook).toBeLessThanOrEqual(8);
    expect(thresholds.paceShare).toBeGreaterThanOrEqual(0.35);
    expect(new Set(findings.filter(({ rule }) => rule === 'D1').map(({ job }) => job)).size).toBe(
      LEARNING_JOBS,
    );
  });

  it('says the same whatever order the records come in', () => {
    expect(screen(made.jobs.toReversed())).toEqual(found);
  });
});

describe('the figures of the programme', () => {
  it('count what the records hold, by gate, step and month, and name nobody', () => {
    const figures = programmeFigures(made.jobs);
    const events = made.jobs.flatMap((job) => job.events);
    const refused = events.flatMap((event) =>
      event.type === 'try.refused' ? [...new Set(event.body.codes)] : [],
    );
    const lapsed = events.filter(({ type }) => type === 'fact.lapsed');
    const sum = (counts: readonly number[]) => counts.reduce((all, one) => all + one, 0);
    expect(figures.jobs).toBe(made.jobs.length);
    expect(sum(figures.refusals.map(({ count }) => count))).toBe(refused.length);
    expect(sum(figures.lapses.map(({ count }) => count))).toBe(lapsed.length);
    expect(lapsed.length).toBeGreaterThan(0);
    for (const { steps, again } of figures.lapses) expect(again).toBeLessThanOrEqual(steps);
    expect(sum(figures.months.map(({ units }) => units))).toBe(made.jobs.length);
    expect(figures.late.late).toBe(0);
    expect(figures.late.facts).toBeGreaterThan(made.jobs.length);
    expect(figures.times.length).toBeGreaterThan(20);
    for (const { count, bins, beyond, p10, median, p90 } of figures.times) {
      expect(count).toBeGreaterThanOrEqual(20);
      expect(sum(bins.map((bin) => bin.count)) + beyond).toBe(count);
      expect(p10 <= median && median <= p90).toBe(true);
    }
    for (const person of PEOPLE) expect(JSON.stringify(figures)).not.toContain(`"${person}"`);
    expect(programmeFigures([])).toMatchObject({ jobs: 0, from: 0, until: 0, times: [] });
  });
});

describe('the words', () => {
  it('are a question in both languages, without a place left open and without a verdict', () => {
    for (const finding of found.findings)
      for (const language of ['en', 'es'] as const) {
        const { asks } = wordsOf(finding, language);
        expect(asks).not.toMatch(/[{}]/);
      }
    for (const language of ['en', 'es'] as const)
      for (const { asks, innocent, next } of Object.values(WORDS[language])) {
        expect(asks).toMatch(/\?$/);
        expect(innocent).not.toBe('');
        expect(next).not.toMatch(/punish|dismiss|fraud|guilty|castig|despid|fraude|culpa/i);
      }
  });

  it('name the same figures in both', () => {
    const places = (text: string): string[] => (text.match(/\{\w+\}/g) ?? []).toSorted();
    for (const rule of RULES)
      expect(places(WORDS.es[rule].asks)).toEqual(places(WORDS.en[rule].asks));
  });

  it('never rank by speed', () => {
    const figures = found.findings
      .filter(({ rule }: Finding) => rule === 'D22')
      .map((one) => one.figures['what']);
    for (const what of figures) expect(['refusals', 'gaps', 'lapses']).toContain(what);
  });
});
