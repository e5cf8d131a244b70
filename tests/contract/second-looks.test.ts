import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { encode } from 'jpeg-js';
import { bitsApart } from '#lib/core/screen/photo-look.ts';
import { PhotoShelf } from '#lib/server/files/photo-shelf.ts';
import { fsck } from '#lib/server/fsck/fsck.ts';
import { amendJob, countersign, heldStarts, noteOnJob } from '#lib/server/looks/job-acts.ts';
import { answerTo, askAbout, closeLook, noteOn } from '#lib/server/looks/look-acts.ts';
import { askedOf, lookNo, looksFor, PRIVATE_MS } from '#lib/server/looks/look-list.ts';
import { lookOfJpeg } from '#lib/server/looks/photo-looks.ts';
import { lastScreening, screenCrew } from '#lib/server/looks/screening.ts';
import { wordsAbout } from '#lib/server/looks/words-kept.ts';
import { inspections, keepInspection, listsDue } from '#lib/server/programme/inspections.ts';
import { endKeeping, keepByDay, keepings } from '#lib/server/programme/keepings.ts';
import { houseLimits, limitsFile, setLimit } from '#lib/server/programme/limits.ts';
import { drawSample, samples } from '#lib/server/programme/samples.ts';
import type { Answered } from '#lib/server/refusal.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import type { CollectingServer } from '../support/a-collecting-server.ts';
import { maraKey } from '../support/a-record.ts';
import { madeJob, seeded } from '../support/made-crew.ts';
import { storeJob } from '../support/stored-crew.ts';
import { emptyPlace, kinds } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

const code = (answer: Answered<unknown>): string => (answer.ok ? 'ok' : answer.code);

describe.each(kinds)('second looks and the programme in %s', (kind) => {
  let place: EmptyPlace;
  let server: CollectingServer;
  const now = () => server.clock.now;
  const ground = () => ({
    log: server.log,
    database: server.database,
    photos: new PhotoShelf(server.database.rows, null, () => {}),
    now,
  });
  const rows = () => server.database.rows;
  const jobs: string[] = [];
  const acts = async (type: string) => {
    const found = await rows()
      .selectFrom('leaves')
      .select('line')
      .where('type', '=', type)
      .execute();
    return found.map(({ line }) => new TextDecoder().decode(line));
  };

  beforeAll(async () => {
    place = await emptyPlace(kind);
    server = await startCollecting(place);
    const { device } = await enrolCrew(server, { mara: maraKey });
    const random = seeded(3);
    const first = madeJob('rollback', 0, 'mara', random);
    const copied = madeJob('copied', 7, 'mara', random, first);
    // The others of the crew have no key here.
    for (const made of [first, copied]) {
      const events = made.events.filter(({ by }) => by === 'mara');
      jobs.push(await storeJob(server, device, { ...made, events }));
    }
    server.clock.now = Date.UTC(2026, 5, 10);
  });
  afterAll(async () => {
    await server.close();
    await place.remove();
  });

  test('finds what is new, once, and says what it was learned from', async () => {
    const found = await screenCrew(ground(), false);
    expect(found).toMatchObject({ jobs: 2, unread: 0 });
    const looks = await looksFor(rows(), { demo: false, closed: false, officer: true, now: now() });
    expect(looks.map(({ rule }) => rule)).toEqual(expect.arrayContaining(['D5', 'D7', 'D11']));
    expect(found.fresh).toBe(looks.length);
    expect(await screenCrew(ground(), false)).toMatchObject({ fresh: 0 });
    const last = await lastScreening(rows(), false);
    expect(last?.thresholds).toMatchObject({ jobs: 2, learned: false, runLook: 4 });
    expect(last?.figures.jobs).toBe(2);
    expect(await screenCrew(ground(), true)).toMatchObject({ jobs: 0, fresh: 0 });
  });

  test('lets the person answer first, and others see it only after their days', async () => {
    const [look] = await looksFor(rows(), {
      demo: false,
      closed: false,
      officer: true,
      rule: 'D11',
      now: now(),
    });
    const no = look?.no ?? 0;
    const other = () => ({ officer: false, now: now() });
    const say = (text: string) => ({ look: no, text });
    expect(code(await noteOn(ground(), say('x'), 'a-one'))).toBe('not-asked');
    expect(code(await closeLook(ground(), { ...say('x'), as: 'explained' }, 'a-one'))).toBe(
      'not-asked',
    );
    expect(await askedOf(rows(), ['mara'])).toEqual([]);
    expect(code(await askAbout(ground(), say(' '), 'a-one'))).toBe('no-words');
    expect(code(await askAbout(ground(), say('Who set the clock?'), 'a-one'))).toBe('ok');
    expect(code(await askAbout(ground(), say('Again?'), 'a-one'))).toBe('asked');
    expect((await askedOf(rows(), ['mara'])).map((one) => one.no)).toEqual([no]);
    expect(await askedOf(rows(), ['tomas'])).toEqual([]);
    expect(code(await noteOn(ground(), say('x'), 'a-one'))).toBe('person-first');
    expect(await lookNo(rows(), no, other())).toBeNull();
    expect(code(await answerTo(ground(), say('The phone did, by itself.'), 'mara'))).toBe('ok');
    expect(await askedOf(rows(), ['mara'])).toEqual([]);
    expect(code(await noteOn(ground(), say('Seen on the phone.'), 'a-one'))).toBe('ok');
    expect(code(await closeLook(ground(), { ...say('So it was.'), as: 'guilty' }, 'a-one'))).toBe(
      'no-ending',
    );
    server.clock.now += PRIVATE_MS - 1;
    expect(await lookNo(rows(), no, other())).toBeNull();
    server.clock.now += 1;
    expect(await lookNo(rows(), no, other())).toMatchObject({ standing: 'answered' });
    expect(
      code(await closeLook(ground(), { ...say('So it was.'), as: 'explained' }, 'a-one')),
    ).toBe('ok');
    expect(
      (await wordsAbout(rows(), { look: no })).map(({ kind: one, text }) => [one, text]),
    ).toEqual([
      ['ask', 'Who set the clock?'],
      ['answer', 'The phone did, by itself.'],
      ['note', 'Seen on the phone.'],
      ['close', 'So it was.'],
    ]);
  });

  test('keeps neither words nor the person in the log', async () => {
    for (const type of ['look.asked', 'look.answered', 'look.closed']) {
      const [line = ''] = await acts(type);
      expect(line).toContain('"words":"');
      expect(line).not.toMatch(/clock\?|phone|So it was/);
      if (type !== 'look.answered') expect(line).not.toContain('mara');
    }
  });

  test('says things about a job without changing it', async () => {
    const [job = ''] = jobs;
    const before = await rows().selectFrom('jobs').selectAll().where('job', '=', job).execute();
    expect(code(await noteOnJob(ground(), { job, text: 'Read.' }, 'a-one'))).toBe('ok');
    expect(code(await countersign(ground(), { job, text: 'Read whole.' }, 'a-one'))).toBe('ok');
    expect(code(await amendJob(ground(), { job, seq: 3, text: '240 V, not 24.' }, 'a-one'))).toBe(
      'ok',
    );
    expect(code(await amendJob(ground(), { job, seq: 9999, text: 'x' }, 'a-one'))).toBe('no-entry');
    expect(code(await noteOnJob(ground(), { job: 'no-such', text: 'x' }, 'a-one'))).toBe('no-job');
    expect(await rows().selectFrom('jobs').selectAll().where('job', '=', job).execute()).toEqual(
      before,
    );
    const [line = ''] = await acts('job.countersigned');
    expect(line).toContain(`"count":${before[0]?.count}`);
    expect((await wordsAbout(rows(), { job })).map(({ kind: one }) => one)).toEqual([
      'jobNote',
      'countersign',
      'amend',
    ]);
    expect(await heldStarts(rows())).toEqual([]);
  });

  test('takes an inspection only from somebody who does not use the list', async () => {
    const asked = {
      checklist: 'range-door-lock',
      day: '2026-06-20',
      inspector: 'a-one',
      people: ['mara'],
      machine: 'Range at the bench, workshop',
      found: 'The tag was written after the lock.',
    };
    expect(await listsDue(rows(), false, now())).toMatchObject([
      { checklist: 'range-door-lock', jobs: 2, last: null, left: null },
    ]);
    expect(code(await keepInspection(ground(), { ...asked, inspector: 'mara' }, 'a-one'))).toBe(
      'uses-it',
    );
    expect(code(await keepInspection(ground(), { ...asked, people: [] }, 'a-one'))).toBe(
      'no-people',
    );
    expect(code(await keepInspection(ground(), { ...asked, day: '2026-02-30' }, 'a-one'))).toBe(
      'bad-day',
    );
    expect(code(await keepInspection(ground(), { ...asked, day: '2027-01-01' }, 'a-one'))).toBe(
      'bad-day',
    );
    expect(code(await keepInspection(ground(), asked, 'a-one'))).toBe('ok');
    expect(await inspections(rows(), 1)).toMatchObject([
      { machine: asked.machine, people: ['mara of the crew'], dueDay: '2027-06-20' },
    ]);
    expect(await listsDue(rows(), false, Date.UTC(2027, 5, 21))).toMatchObject([
      { last: '2026-06-20', left: -1 },
    ]);
  });

  test('keeps training, instruments and gloves by their day', async () => {
    const gloves = {
      kind: 'gloves',
      label: 'Class 0, pair 4',
      person: 'mara',
      doneDay: '2026-06-01',
    };
    expect(code(await keepByDay(ground(), { ...gloves, dueDay: '2026-12-01' }, 'a-one'))).toBe(
      'ok',
    );
    expect(code(await keepByDay(ground(), { ...gloves, dueDay: '2026-05-01' }, 'a-one'))).toBe(
      'bad-day',
    );
    expect(code(await keepByDay(ground(), { ...gloves, kind: 'boots', dueDay: '' }, 'a-one'))).toBe(
      'bad-keeping',
    );
    const found = await keepings(rows(), now());
    expect(found.find(({ no }) => no === 1)).toMatchObject({ name: 'mara of the crew', left: 160 });
    // The meter of the jobs is there without anybody writing it down.
    expect(found.some(({ no, kind: one }) => no === null && one === 'instrument')).toBe(true);
    expect(code(await endKeeping(ground(), 1, 'a-one'))).toBe('ok');
    expect(code(await endKeeping(ground(), 1, 'a-one'))).toBe('no-keeping');
  });

  test('draws a sample whose seed is on record, and sets limits that only tighten', async () => {
    expect(code(await drawSample(ground(), false, 'a-one', 'seed'))).toBe('ok');
    const [sample] = await samples(rows(), false);
    expect(sample).toMatchObject({ seed: 'seed', among: 2 });
    expect(sample?.jobs).toHaveLength(1);
    const [line = ''] = await acts('sample.drawn');
    expect(line).toContain('"seed":"seed"');

    const limit = { checklist: 'range-door-lock', step: 'sensor', least: '', most: '1.15 kohm' };
    expect(code(await setLimit(ground(), { ...limit, most: '5 kohm' }, 'a-one'))).toBe('bad-limit');
    expect(code(await setLimit(ground(), { ...limit, step: 'scene' }, 'a-one'))).toBe('no-step');
    expect(code(await setLimit(ground(), limit, 'a-one'))).toBe('ok');
    expect(limitsFile(await houseLimits(rows()), 'Alder Row', 'Ines Vahl', now())?.limits).toEqual({
      'range-door-lock': { sensor: { most: '1.15 kohm' } },
    });
    expect(code(await setLimit(ground(), { ...limit, most: '' }, 'a-one'))).toBe('ok');
    expect(await houseLimits(rows())).toEqual([]);
  });

  test('leaves a store that holds', async () => {
    const { publicKey } = server.log.key;
    const report = await fsck({ rows: rows(), publicKey, outside: null, held: [] });
    expect(report).toMatchObject({ ok: true });
  });
});

test('a photo that is pressed again looks the same, and bytes that are none have no look', () => {
  const random = seeded(9);
  const [width, height] = [180, 160];
  const cells = Array.from({ length: 72 }, () => Math.floor(random() * 255));
  const data = new Uint8Array(width * height * 4).fill(255);
  for (let at = 0; at < width * height; at += 1) {
    const [x, y] = [at % width, Math.floor(at / width)];
    data.fill(cells[Math.floor(y / 20) * 9 + Math.floor(x / 20)] ?? 0, at * 4, at * 4 + 3);
  }
  const [fine, coarse] = [90, 40].map((quality) =>
    lookOfJpeg(new Uint8Array(encode({ data, width, height }, quality).data)),
  );
  expect(fine).toMatch(/^[0-9a-f]{16}$/);
  expect(bitsApart(fine ?? '', coarse ?? '')).toBeLessThanOrEqual(5);
  expect(lookOfJpeg(new TextEncoder().encode('<svg onload="alert(1)"/>'))).toBeNull();
  expect(lookOfJpeg(new Uint8Array([0xff, 0xd8, 0xff, 0xe0, 0, 16]))).toBeNull();
});
