/** The board of the office, read the short way, beside the same board read from every row and every line. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { eventOf } from '#lib/core/bag/bodies.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { discloseAll, readDisclosure, readLine } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { checklistOf } from '#lib/server/files/checklist-shelf.ts';
import { eventsOfType } from '#lib/server/looks/entries-of-type.ts';
import { countersign } from '#lib/server/looks/job-acts.ts';
import { jobsFound } from '#lib/server/overview/job-list.ts';
import { nowBoard } from '#lib/server/overview/now.ts';
import { foldOf, machineNow } from '#lib/server/overview/standing-fold.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import type { CollectingServer } from '../support/a-collecting-server.ts';
import { maraKey } from '../support/a-record.ts';
import { madeJob, seeded } from '../support/made-crew.ts';
import { sealedJob, storeSealed } from '../support/stored-crew.ts';
import { emptyPlace, kinds } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

const OPEN = ['atWork', 'downTools', 'parkedShut', 'parkedUsable'];
const HOUR = 3_600_000;

/** The events of one job up to its locks, and what is said after them. */
function until(no: number, step: string | null, ...after: readonly object[]): JobEvent[] {
  const { events } = madeJob('honest', no, 'mara', seeded(no));
  const end =
    step === null
      ? events.length - 1
      : events.findIndex((event) => event.type === 'step.done' && event.body.step === step);
  const kept = events.slice(0, end + 1);
  const last = kept.at(-1);
  const more = after.map((one, at) => {
    const later = Date.parse(last?.at ?? '') + (at + 1) * 60_000;
    const clock = {
      at: new Date(later).toISOString(),
      mono: (last?.mono ?? 0) + (at + 1) * 60_000,
    };
    return { by: 'mara', boot: last?.boot ?? '', ...clock, ...one } as JobEvent;
  });
  return [...kept, ...more];
}

const parked = { type: 'job.parked', body: { as: 'shut', until: '2026-06-09', left: [] } };
const refused = { type: 'job.refused', body: { why: 'Made up.', left: [] } };
const shock = (what: string) => ({ type: 'tingle', body: { what } });
const nearMiss = (what: string) => ({ type: 'nearMiss', body: { what } });
const madeUp = (events: readonly JobEvent[]): JobEvent[] =>
  events.map((event) =>
    event.type === 'job.opened' ? { ...event, body: { ...event.body, demo: true } } : event,
  );

describe.each(kinds)('the board of the office in %s', (kind) => {
  let place: EmptyPlace;
  let server: CollectingServer;
  let device: string;
  const rows = () => server.database.rows;
  const stored: SealedEntry[][] = [];
  const idOf = (at: number): string => stored[at]?.[0]?.entry.job ?? '';

  /** Every row, every line and every list is read anew, and nothing is asked of an index. */
  async function boardInFull(demo: boolean, now: number) {
    const all = await rows().selectFrom('jobs').selectAll().execute();
    const people = await rows().selectFrom('people').selectAll().execute();
    const told = await rows().selectFrom('disclosures').selectAll().execute();
    const leaves = await rows().selectFrom('leaves').selectAll().where('side', '=', 0).execute();
    const words = await rows().selectFrom('office_words').selectAll().execute();
    const named = (id: string): string => people.find((one) => one.id === id)?.name ?? id;
    const lines = leaves
      .toSorted((a, b) => (a.seq ?? 0) - (b.seq ?? 0))
      .map((leaf) => {
        const read = readLine(new Uint8Array(leaf.line), nodePrimitives);
        if (!read.ok) throw new Error(read.flaw.says);
        const event = eventOf(read.value.entry);
        if (!event.ok) throw new Error(event.flaw.says);
        return { ...leaf, event: event.value };
      });
    const cards = [];
    for (const row of all.filter((one) => (one.demo === 1) === demo)) {
      const list = await checklistOf(rows(), row.checklist_sha256);
      const events = lines.filter(({ job_no }) => job_no === row.no).map(({ event }) => event);
      const fold = list && foldOf(list.checklist, events);
      const machine = fold && machineNow(fold, now);
      const site = told
        .filter(({ job_no, seq }) => job_no === row.no && seq === 0)
        .map(({ encoded }) => readDisclosure(encoded, nodePrimitives))
        .find((read) => read.ok && read.value.name === 'site');
      cards.push({
        no: row.no,
        job: row.job,
        demo,
        checklist: row.checklist,
        revision: row.revision,
        title: list?.checklist.title ?? row.checklist,
        status: row.status,
        openedAt: row.opened_at,
        person: row.opened_by,
        name: named(row.opened_by),
        site: site?.ok ? site.value.value : '',
        lastAt: row.last_at,
        dueAt: row.due_at,
        entries: row.count,
        refusals: row.refusals,
        forked: row.forked === 1,
        locks: (fold?.locks ?? []).map((lock) => ({ ...lock, name: named(lock.owner) })),
        sources: (machine?.sources ?? []).map(({ id, label, kind: of, state, provedAt }) => ({
          ...{ id, label, kind: of, state },
          ...(provedAt === undefined ? {} : { provedAt }),
        })),
        openEnds: machine?.openEnds.length ?? 0,
        unread: fold === null,
      });
    }
    const newest = cards.toSorted((a, b) => b.lastAt - a.lastAt);
    const heard = lines.flatMap(({ event, seq, job_no }) => {
      const job = all.find(({ no, demo: of }) => no === job_no && (of === 1) === demo)?.job;
      const isRead = words.some(
        (one) => one.kind === 'countersign' && one.job === job && (one.seq ?? -1) >= (seq ?? 0),
      );
      if (job === undefined || isRead || (event.type !== 'tingle' && event.type !== 'nearMiss'))
        return [];
      return [{ job, seq, kind: event.type, what: event.body.what, at: Date.parse(event.at) }];
    });
    return {
      open: newest.filter(({ status }) => OPEN.includes(status)),
      left: newest.filter(({ status, locks }) => !OPEN.includes(status) && locks.length > 0),
      beyond: 0,
      heard: heard.toSorted((a, b) => b.at - a.at),
    };
  }
  const lastOf = (at: number): number => Date.parse(stored[at]?.at(-1)?.entry.at ?? '');

  beforeAll(async () => {
    place = await emptyPlace(kind);
    server = await startCollecting(place);
    ({ device } = await enrolCrew(server, { mara: maraKey }));
    const jobs = [
      until(0, null),
      until(1, 'dead', parked),
      until(2, 'dead', shock('A tickle at the case.'), refused),
      until(3, 'breaker-lock', nearMiss('The wrong breaker.'), nearMiss('The right one, twice.')),
      madeUp(until(4, 'dead', shock('Made up.'))),
      until(5, 'dead', { type: 'tools.down', body: { why: 'Made up.' } }),
      until(6, 'breaker-lock'),
      until(7, 'dead'),
    ];
    for (const events of jobs) stored.push(await sealedJob({ events }));
    for (const sealed of stored) await storeSealed(server, device, sealed);
    const [site] = discloseAll(
      { site: 'Ash Lane 4' },
      () => new Uint8Array(16),
      nodePrimitives,
    ).disclosures;
    const { no } = await rows()
      .selectFrom('jobs')
      .select('no')
      .where('job', '=', idOf(6))
      .executeTakeFirstOrThrow();
    const { digest = '', encoded = '' } = site ?? {};
    await rows()
      .insertInto('disclosures')
      .values({ job_no: no, seq: 0, digest, encoded })
      .execute();
    // The checklist of one has not come in.
    await rows()
      .updateTable('jobs')
      .set({ checklist_sha256: '00'.repeat(32) })
      .where('job', '=', idOf(7))
      .execute();
  });
  afterAll(async () => {
    await server.close();
    await place.remove();
  });

  test('has every kind of job where it belongs', async () => {
    const board = await nowBoard(rows(), false, lastOf(7));
    const jobs = (some: readonly { readonly job: string }[]) => some.map(({ job }) => job);
    expect(jobs(board.open)).toEqual([7, 6, 5, 3, 1].map(idOf));
    expect(jobs(board.left)).toEqual([idOf(2)]);
    expect(board.open.map(({ unread }) => unread)).toEqual([true, false, false, false, false]);
    expect(board.open[1]?.site).toBe('Ash Lane 4');
    expect(jobs((await nowBoard(rows(), true, lastOf(7))).open)).toEqual([idOf(4)]);
  });

  test.each([0, 20, 60, 24 * 60])(
    'is the one in full, %i minutes after the last entry',
    async (more) => {
      const now = lastOf(7) + more * 60_000;
      for (const demo of [false, true]) {
        const full = await boardInFull(demo, now);
        // Twice: the second one has the records, and what was heard, in memory.
        expect(await nowBoard(rows(), demo, now)).toEqual(full);
        expect(await nowBoard(rows(), demo, now)).toEqual(full);
        expect(full.heard.length).toBeGreaterThan(0);
      }
    },
  );

  test('what is signed for is heard of no more, up to the entry that was signed', async () => {
    const ground = { log: server.log, now: () => server.clock.now };
    const done = await countersign(ground, { job: idOf(2), text: 'Read.' }, 'a-one');
    expect(done.ok).toBe(true);
    const entries = stored[3] ?? [];
    const first = entries.findIndex(({ entry }) => entry.type === 'nearMiss');
    await rows()
      .insertInto('office_words')
      .values({
        ...{ no: 900, kind: 'countersign', look_no: null, job: idOf(3), seq: first },
        ...{ by: 'a-one', at: 1, digest: '', encoded: null },
      })
      .execute();
    const { heard } = await nowBoard(rows(), false, lastOf(7));
    expect(heard.map(({ job, seq, what }) => [job, seq, what])).toEqual([
      [idOf(3), first + 1, 'The right one, twice.'],
    ]);
    expect(heard).toEqual((await boardInFull(false, lastOf(7))).heard);
  });

  test('goes on with every entry that comes in, and takes no record for that of another list', async () => {
    const now = lastOf(7) + HOUR;
    const sealed = await sealedJob({ events: until(9, 'dead', shock('Later.')) });
    const half = Math.floor(sealed.length / 3);
    for (const part of [sealed.slice(0, half), sealed.slice(half, -1), sealed.slice(-1)]) {
      await storeSealed(server, device, part);
      expect(await nowBoard(rows(), false, now)).toEqual(await boardInFull(false, now));
    }
    const told = await nowBoard(rows(), false, now);
    expect(told.open.find(({ job }) => job === idOf(6))?.unread).toBe(false);
    await rows()
      .updateTable('jobs')
      .set({ checklist_sha256: '11'.repeat(32) })
      .where('job', '=', idOf(6))
      .execute();
    const after = await nowBoard(rows(), false, now);
    expect(after.open.find(({ job }) => job === idOf(6))?.unread).toBe(true);
    expect(after).toEqual(await boardInFull(false, now));
  });

  test('the pages of jobs tell the same of each as its card', async () => {
    const filter = { demo: false, text: '', status: '', from: null, until: null, after: '' };
    const { jobs } = await jobsFound(rows(), filter);
    const { open } = await nowBoard(rows(), false, lastOf(7));
    for (const { locks, sources, openEnds, unread, ...card } of open) {
      expect(jobs.find(({ no }) => no === card.no)).toEqual(card);
      expect([locks.length, sources.length, openEnds, unread]).not.toContain(undefined);
    }
  });

  test('shows the newest three hundred, and says how many more there are', async () => {
    const row = await rows()
      .selectFrom('jobs')
      .selectAll()
      .where('job', '=', idOf(7))
      .executeTakeFirstOrThrow();
    const more = Array.from({ length: 301 }, (_, at) => ({
      ...row,
      ...{ no: 1000 + at, job: `made-up-${at}`, last_at: row.last_at - 1 - at * 997 },
    }));
    for (let at = 0; at < more.length; at += 100)
      await rows()
        .insertInto('jobs')
        .values(more.slice(at, at + 100))
        .execute();
    const full = await boardInFull(false, lastOf(7));
    const board = await nowBoard(rows(), false, lastOf(7));
    expect(full.open).toHaveLength(307);
    expect(board).toEqual({ ...full, open: full.open.slice(0, 300), beyond: 7 });
    await rows().deleteFrom('jobs').where('no', '>=', 1000).execute();
  });

  test('a line that cannot be read is left out, at every asking', async () => {
    const found = async () => (await eventsOfType(rows(), 'tools.down', 5)).length;
    await rows()
      .updateTable('leaves')
      .set({ line: new TextEncoder().encode('{}') })
      .where('type', '=', 'tools.down')
      .execute();
    expect([await found(), await found()]).toEqual([0, 0]);
  });
});
