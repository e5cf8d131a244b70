import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { entriesAsLines, jobsAsCsv } from '#lib/server/overview/exports.ts';
import { jobsFound, type JobFilter } from '#lib/server/overview/job-list.ts';
import { jobStory } from '#lib/server/overview/job-story.ts';
import { nowBoard } from '#lib/server/overview/now.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import type { CollectingServer } from '../support/a-collecting-server.ts';
import { maraKey } from '../support/a-record.ts';
import { madeJob, seeded } from '../support/made-crew.ts';
import { storeJob } from '../support/stored-crew.ts';
import { emptyPlace, kinds } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

const ALL: JobFilter = { demo: false, text: '', status: '', from: null, until: null, after: '' };
const HOUR = 3_600_000;

describe.each(kinds)('what the pages of the office ask for in %s', (kind) => {
  let place: EmptyPlace;
  let server: CollectingServer;
  const rows = () => server.database.rows;
  const jobs: string[] = [];
  const made = [0, 1, 2].map((at) => madeJob('honest', at, 'mara', seeded(at)));

  beforeAll(async () => {
    place = await emptyPlace(kind);
    server = await startCollecting(place);
    const { device } = await enrolCrew(server, { mara: maraKey });
    // The last of them stops after the proof of dead: its locks are on.
    const events = made[2]?.events ?? [];
    const proof = events.findIndex(
      (event) => event.type === 'step.done' && event.body.step === 'dead',
    );
    const open = { events: events.slice(0, proof + 1) };
    for (const [at, job] of made.entries())
      jobs.push(await storeJob(server, device, at < 2 ? job : { ...job, ...open }));
  });
  afterAll(async () => {
    await server.close();
    await place.remove();
  });

  test('jobs come page by page, each once, the newest first', async () => {
    const seen: string[] = [];
    let after = '';
    do {
      const page = await jobsFound(rows(), { ...ALL, after }, 2);
      expect(page.total).toBe(3);
      seen.push(...page.jobs.map(({ job }) => job));
      after = page.next;
    } while (after !== '');
    expect(seen).toEqual(jobs.toReversed());
  });

  test.each([
    ['by person', { text: 'MARA of' }, 3],
    ['by list', { text: 'electric range' }, 3],
    ['by nobody', { text: 'nobody' }, 0],
    ['by signs that mean something to a database', { text: "%' or 1=1 --" }, 0],
    ['at work', { status: 'atWork' }, 1],
    ['of the made-up crew', { demo: true }, 0],
    ['from a day on', { from: Date.UTC(2026, 5, 1, 12) }, 2],
    ['up to a day', { until: Date.UTC(2026, 5, 1, 12) }, 1],
  ])('jobs are found %s', async (_, asked, count) => {
    const { jobs: found, total } = await jobsFound(rows(), { ...ALL, ...asked });
    expect([found.length, total]).toEqual([count, count]);
  });

  test('a job is found by its long number', async () => {
    const [first = ''] = jobs;
    const { jobs: found } = await jobsFound(rows(), { ...ALL, text: first });
    expect(found.map(({ job }) => job)).toEqual([first]);
  });

  test('the board tells whose lock is on what, since when, and that a proof has run out', async () => {
    const last = Date.parse(made[2]?.events.findLast(({ type }) => type === 'step.done')?.at ?? '');
    const { open, left, beyond } = await nowBoard(rows(), false, last + 24 * HOUR);
    expect([open.length, left.length, beyond]).toEqual([1, 0, 0]);
    const [job] = open;
    const put = made[2]?.events.find(
      (event) => event.type === 'step.done' && event.body.step === 'breaker-lock',
    );
    expect(job?.locks).toMatchObject([
      { owner: 'mara', name: 'mara of the crew', since: Date.parse(put?.at ?? ''), sure: true },
    ]);
    // Proofs last half an hour at most, and a day has gone by.
    expect(job?.sources.map(({ state }) => state)).not.toContain('dead');
    expect(await nowBoard(rows(), true, last)).toMatchObject({ open: [], left: [] });
  });

  test('a job goes from live to dead and back in its bands', async () => {
    const story = await jobStory(rows(), jobs[0] ?? '', { officer: true, now: server.clock.now });
    const mains = story?.record?.bands.find(({ kind: of }) => of === 'electrical')?.spans ?? [];
    expect([mains[0]?.state, mains.at(-1)?.state]).toEqual(['live', 'live']);
    expect(mains.map(({ state }) => state)).toContain('dead');
    mains.slice(1).forEach(({ from }, at) => expect(from).toBe(mains[at]?.until));
    expect(await jobStory(rows(), 'none', { officer: true, now: 0 })).toBeNull();
  });

  test('what is taken out has every job, and its entries as they were signed', async () => {
    const told = await Array.fromAsync(jobsAsCsv(rows(), ALL));
    expect(told).toHaveLength(4);
    expect(told[0]).toMatch(/^demonstration,job,checklist/u);
    const lines = await Array.fromAsync(entriesAsLines(rows(), ALL));
    const { count } = await rows()
      .selectFrom('leaves')
      .select((is) => is.fn.countAll<number>().as('count'))
      .where('kind', '=', 'entry')
      .executeTakeFirstOrThrow();
    expect(lines).toHaveLength(Number(count));
    expect(JSON.parse(lines[0] ?? '')).toMatchObject({ demonstration: false, line: {} });
  });
});
