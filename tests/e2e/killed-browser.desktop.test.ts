// The browser process is killed between tap and screen, fifty times, on one profile. What the screen
// had shown as recorded must be there the next time, whole; what it had not shown is there whole or
// not at all. (A killed process cannot tell a strict commit from a relaxed one: that takes a power cut.)
// Now and then such a kill tears the browser's own log, and two runs later the browser deletes all of it;
// the second test does that on purpose, every time.
import { expect, test } from '@playwright/test';
import { glob, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { serveDevicePage } from '../support/device-page.ts';
import type { DevicePage } from '../support/device-page.ts';
import { openOwnBrowser } from '../support/own-browser.ts';
import type { OwnBrowser } from '../support/own-browser.ts';

const KILLS = 50;
const lamp = new URL('../support/checklists/bench-lamp.yaml', import.meta.url);

interface Shown {
  readonly seq: number;
  readonly hash: string;
  readonly photo: string;
}

let pages: DevicePage;
let profile: string;
let own: OwnBrowser | undefined;
test.beforeAll(async () => {
  pages = await serveDevicePage();
});
test.beforeEach(async () => {
  profile = await mkdtemp(join(tmpdir(), 'profile-'));
});
test.afterEach(async () => {
  await own?.kill();
  await rm(profile, { recursive: true, force: true, maxRetries: 5 });
});
test.afterAll(() => pages.stop());

test('fifty kills lose no acknowledged entry and tear none', async () => {
  test.setTimeout(600_000);
  const checklist = await readFile(lamp, 'utf8');
  const acknowledged: Shown[] = [];
  let job: string | null = null;
  let unheard = 0;
  let between = 0;
  let tappedAt = 0;
  /** How long taps took, in milliseconds; the quickest of the last few aims the next kill. */
  const took: number[] = [];

  for (let round = 0; round <= KILLS; round += 1) {
    own = await openOwnBrowser(profile);
    const { browser, page, kill } = own;
    await page.goto(pages.url);
    await page.waitForFunction(() => 'bench' in window);
    const found: Look = await page.evaluate(look, { job, checklist });
    const known = found.job;
    job = known;
    // Everything that was on the screen is in the record, at its place, with its photo readable.
    expect(acknowledged.filter(({ seq, hash }) => found.hashes[seq] !== hash)).toEqual([]);
    const photos = new Set(found.photos);
    expect(acknowledged.filter(({ photo }) => photo !== '' && !photos.has(photo))).toEqual([]);
    expect(found.torn).toEqual([]);
    const beyond = found.hashes.length - 1 - (acknowledged.at(-1)?.seq ?? 0);
    // At most the one tap that was under way, with the two notes that a new run of the clock adds and
    // the one that tells of a store brought back.
    expect(beyond).toBeLessThanOrEqual(4);
    if (beyond > 0 && round > 0) unheard += 1;

    if (round < KILLS) {
      const last = 1 + (round % 7);
      const taps = { seen: 0, shown: 0 };
      const dying = new Promise<void>((killed) => {
        void page.exposeFunction('tapped', () => {
          taps.seen += 1;
          tappedAt = performance.now();
          if (taps.seen !== last) return;
          // Spread over the time that a tap takes, so that the kills meet signing, storing and commit. A tap
          // that was slow for a reason of its own would aim the next kill behind the screen.
          const quickest = took.length === 0 ? 0 : Math.min(...took.slice(-9));
          setTimeout(() => void kill().then(killed), (quickest * (round % 10)) / 14);
        });
      });
      await page.exposeFunction('shown', (entry: Shown) => {
        taps.shown += 1;
        took.push(performance.now() - tappedAt);
        acknowledged.push(entry);
      });
      // The evaluation never ends by itself: it dies with the page.
      await Promise.all([page.evaluate(tapOn, known).catch(() => {}), dying]);
      if (taps.shown < last) between += 1;
    } else {
      await kill();
    }
    await browser.close().catch(() => {});
  }
  // The kills really fell between tap and screen, or the test shows nothing.
  expect(between).toBeGreaterThan(KILLS / 2);
  expect(acknowledged.length).toBeGreaterThan(KILLS);
  test.info().annotations.push({
    type: 'figures',
    description: `${KILLS} kills, ${between} between tap and screen; ${acknowledged.length} taps shown, 0 lost; ${unheard} stored but not shown, each whole`,
  });
});

test('a store that the browser threw away is brought back whole, and the record says so', async () => {
  const checklist = await readFile(lamp, 'utf8');
  const opened = async () => {
    own = await openOwnBrowser(profile);
    await own.page.goto(pages.url);
    await own.page.waitForFunction(() => 'bench' in window);
    return own;
  };
  const first = await opened();
  const { job } = await first.page.evaluate(look, { job: null, checklist });
  await first.page.evaluate(statePhotos, { job, times: 6 });
  const before = await first.page.evaluate(look, { job, checklist });
  await first.kill();
  await tearLog(join(profile, 'Default', 'IndexedDB'));

  const second = await opened();
  const after = await second.page.evaluate(look, { job, checklist });
  // Without this the log was not torn where the browser looks, and the test shows nothing.
  expect(after.broughtBack).toEqual([job]);
  expect(after.hashes).toEqual(before.hashes);
  expect(after.photos).toEqual(before.photos);
  expect(after.torn).toEqual([]);
  const told = await second.page.evaluate(statePhotos, { job, times: 1 });
  expect(told.join()).toContain('brought back from the second copy');
});

/** Overwrites some bytes in the middle of the browser's log, as a write upon a torn line leaves it. */
async function tearLog(folder: string): Promise<void> {
  for await (const path of glob('*.leveldb/*.log', { cwd: folder })) {
    const log = join(folder, path);
    const bytes = await readFile(log);
    const middle = Math.floor(bytes.length / 2);
    expect(middle).toBeGreaterThan(4000);
    await writeFile(log, bytes.fill(0x12, middle, middle + 64));
  }
}

interface Look {
  readonly job: string;
  /** Jobs that are listed as brought back from the second copy. */
  readonly broughtBack: readonly string[];
  readonly hashes: readonly string[];
  readonly photos: readonly string[];
  /** Photos that an entry names and that do not read back. */
  readonly torn: readonly string[];
}

/** In the page: opens the job as a person coming back does, or begins it. */
async function look(given: { job: string | null; checklist: string }): Promise<Look> {
  const device = await window.bench.openDevice();
  let job = given.job;
  if (job === null) {
    const mara = { id: 'mara', name: 'Mara Quill', competence: ['electrical'] };
    await device.enrol(mara, 'mara');
    const started = await device.startJob({
      checklist: given.checklist,
      by: 'mara',
      order: { command: 'open', site: 'Bench 4', people: [mara], instruments: [] },
    });
    if (!started.ok) throw new Error(JSON.stringify(started));
    job = started.session.job;
    started.session.close();
  }
  const opened = await device.openJob(job);
  // Whether the whole store is new, or was emptied, tells a lost entry from a lost profile.
  if (!opened.ok) throw new Error(`${device.acquaintance.kind} device: ${opened.trouble.says}`);
  const { entries } = opened.value;
  opened.value.close();
  const named = entries.flatMap(({ event }) =>
    event.type === 'step.done' ? (event.body.result.photos ?? []) : [],
  );
  const photos: string[] = [];
  const torn: string[] = [];
  for (const photo of named) ((await device.readPhoto(photo)).ok ? photos : torn).push(photo);
  const listed = await device.listJobs();
  const broughtBack = listed.ok
    ? listed.value.filter((each) => each.broughtBack).map((each) => each.job)
    : [];
  device.close();
  return { job, broughtBack, hashes: entries.map(({ sealed }) => sealed.hash), photos, torn };
}

/** In the page: states a step with a photo and corrects it, so often; answers the notes of the record. */
async function statePhotos(given: { job: string; times: number }): Promise<readonly string[]> {
  const device = await window.bench.openDevice();
  const opened = await device.openJob(given.job);
  if (!opened.ok) throw new Error(opened.trouble.says);
  const session = opened.value;
  for (let time = 0; time < given.times; time += 1) {
    const photo = window.bench.randomPhoto(150_000);
    const result = { sources: 1, photos: [photo.sha256] };
    const stated = await session.submit(
      { command: 'do', step: 'count', result },
      { photos: [photo] },
    );
    if (!stated.accepted) throw new Error(JSON.stringify(stated));
    const undone = await session.submit({
      command: 'correct',
      step: 'count',
      why: 'counted again',
    });
    if (!undone.accepted) throw new Error(JSON.stringify(undone));
  }
  await device.copied();
  const notes = session.entries.flatMap(({ event }) =>
    event.type === 'program.noted' ? [event.body.what] : [],
  );
  session.close();
  device.close();
  return notes;
}

/** In the page: states a step with a photo and corrects it, again and again, until it is killed. */
async function tapOn(job: string): Promise<void> {
  const told = window as unknown as {
    tapped: () => Promise<void>;
    shown: (entry: { seq: number; hash: string; photo: string }) => Promise<void>;
  };
  const opened = await (await window.bench.openDevice()).openJob(job);
  if (!opened.ok) throw new Error(opened.trouble.says);
  const session = opened.value;
  const isDone = () => session.view.steps[0]?.state === 'done';
  for (;;) {
    const photo = window.bench.randomPhoto(150_000);
    const result = { sources: 1, photos: [photo.sha256] };
    void told.tapped();
    const stated = isDone()
      ? await session.submit({ command: 'correct', step: 'count', why: 'counted again' })
      : await session.submit({ command: 'do', step: 'count', result }, { photos: [photo] });
    if (!stated.accepted) throw new Error(JSON.stringify(stated));
    const last = session.entries.at(-1);
    if (last === undefined) throw new Error('nothing was recorded');
    const { hash, entry } = last.sealed;
    await told.shown({ seq: entry.seq, hash, photo: isDone() ? photo.sha256 : '' });
  }
}
