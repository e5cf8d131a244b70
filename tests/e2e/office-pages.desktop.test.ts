// Every page of the officer over a made-up crew whose words and pictures are hostile: read, marked, harmless.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import AxeBuilder from '@axe-core/playwright';
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { Uint8ArrayReader, ZipReader } from '@zip.js/zip.js';
import { makeAccount } from '#lib/server/accounts/accounts.ts';
import { beginSession } from '#lib/server/accounts/sessions.ts';
import { openHouse, type House } from '#lib/server/house.ts';
import { endKeeping, keepByDay } from '#lib/server/programme/keepings.ts';
import { readSettings } from '#lib/server/settings.ts';
import { startApp } from '../support/app-server.ts';
import type { AppServer } from '../support/app-server.ts';
import { demonstrationCrew } from '../support/demonstration-crew.ts';
import { officeBegun } from '../support/office-hand.ts';
import { test } from '../support/quiet-page.ts';

test.setTimeout(180_000);

const MARKUP = '<img src=x onerror="window.ran=1"><script>window.ran=1</script>';
const FORMULA = '=HYPERLINK("https://far.example","1")';
/** Begins as a JPEG does, so that the server keeps it; what follows is a script. */
const script = (mark: string): Uint8Array =>
  new Uint8Array([
    ...[0xff, 0xd8, 0xff, 0xe0],
    ...new TextEncoder().encode(`<html><script>window.ran = 1</script>${mark}</html>`),
  ]);

let server: AppServer;
let data: string;
let house: House;
test.beforeAll(async () => {
  data = mkdtempSync(join(tmpdir(), 'stillwire-office-'));
  server = await startApp({ STILLWIRE_DATA: data });
  const read = readSettings({ STILLWIRE_DATA: data });
  if (!read.ok) throw new Error(read.problems.join(' '));
  house = await openHouse(read.settings);
  await demonstrationCrew(house, 7, {
    honest: 4,
    sites: [FORMULA, MARKUP, '\t@SUM(1)', "'12 Sorrel Lane"],
    names: { 'made-up.idris': MARKUP.slice(0, 60), 'made-up.rosa': '+1+1' },
    picture: script,
  });
});
test.afterAll(async () => {
  await house.close();
  await server.stop();
  rmSync(data, { recursive: true, force: true });
});

/** Nothing that was typed has run, and nothing of the page keeps a reader out. */
async function harmless(page: Page, name: string): Promise<void> {
  expect(await page.evaluate(() => 'ran' in window), name).toBe(false);
  await expect(page.locator('main script, main img[src="x"]'), name).toHaveCount(0);
  const { violations } = await new AxeBuilder({ page }).analyze();
  expect(
    violations.map(({ id, nodes }) => [id, nodes[0]?.html]),
    name,
  ).toEqual([]);
}

/** The cells of a table as a reader of RFC 4180 takes them. */
function cellsOf(text: string): string[][] {
  return text
    .trimEnd()
    .split('\r\n')
    .map((line) =>
      [...line.matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/gu)]
        .slice(0, -1)
        .map(([, cell = '']) =>
          cell.startsWith('"') ? cell.slice(1, -1).replaceAll('""', '"') : cell,
        ),
    );
}

/** Many bags in one file: told how far it is, stopped by a key, made whole the second time. */
async function bagsInBulk(page: Page): Promise<void> {
  const progress = page.getByRole('progressbar', { name: 'Making the bags' });
  // The fourth is held until it is given up. In the page: what the worker fetches passes no route of a test.
  await page.evaluate(() => {
    const plain = window.fetch;
    let asked = 0;
    window.fetch = async (what, how) => {
      if (typeof what === 'string' && what.endsWith('/bag') && ++asked === 4)
        await new Promise((_, given) => how?.signal?.addEventListener('abort', given));
      return plain(what, how);
    };
  });
  const link = page.getByRole('link', { name: 'Evidence bags (at most 200)' });
  await link.focus();
  await page.keyboard.press('Enter');
  await expect(page.getByText(/^3 of 8 bags, [\d.]+ MB$/u)).toBeVisible();
  await expect(progress).toHaveJSProperty('value', 3);
  await expect(page.getByText('25 % of the bags are made.')).toHaveRole('status');
  await page.keyboard.press('Tab');
  await expect(page.getByRole('button', { name: 'Stop' })).toBeFocused();
  await page.keyboard.press('Enter');
  await expect(page.getByText('Stopped. Nothing was saved.')).toBeVisible();
  const [download] = await Promise.all([page.waitForEvent('download'), link.click()]);
  await expect(page.getByText('The file with the bags is saved.')).toBeVisible();
  expect(download.suggestedFilename()).toBe('demonstration-bags.zip');
  const reader = new ZipReader(new Uint8ArrayReader(readFileSync(await download.path())));
  const names = (await reader.getEntries()).map(({ filename }) => filename);
  expect(new Set(names).size).toBe(8);
  expect(names.filter((name) => !/^demonstration-.+\.zip$/u.test(name))).toEqual([]);
}

test('what is locked, jobs, looks and the programme: legible, marked as made up, and nothing in them runs', async ({
  page,
  complaints,
}) => {
  await officeBegun(page, server.url, server.said(), 'mara Mara Quill');
  await page.goto(`${server.url}/office/now`);
  await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
  await expect(page.locator('article.card')).toHaveCount(0);

  for (const place of ['now', 'jobs', 'looks', 'programme'])
    for (const [light, width] of [
      ['light', 1280],
      ['dark', 360],
    ] as const) {
      await page.emulateMedia({ colorScheme: light });
      await page.setViewportSize({ width, height: 800 });
      await page.goto(`${server.url}/office/${place}?crew=made-up`);
      await expect(page.getByText(/made-up crew/iu).first()).toBeVisible();
      if (light === 'dark' || place === 'programme') await harmless(page, `${place} ${light}`);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      expect(wide, place).toBeLessThanOrEqual(width);
    }

  await page.goto(`${server.url}/office/now?crew=made-up`);
  await expect(page.locator('main')).toContainText(MARKUP);
  await expect(page.getByRole('heading', { name: 'Parked machines: 2' })).toBeVisible();
  // What needs a person stands on the first screen of a desk, whatever else is open.
  await page.setViewportSize({ width: 1280, height: 800 });
  const needs = page.getByRole('region', { name: 'Needs a person first' });
  const left = needs.getByRole('link', { name: '1 Over, with a lock still on' });
  await expect(left).toBeInViewport({ ratio: 1 });
  await expect(needs.getByRole('link').last()).toBeInViewport({ ratio: 1 });
  await expect(
    needs.getByRole('link', { name: '2 Shocks, scares and near misses not signed for yet' }),
  ).toBeVisible();
  await left.click();
  await expect(page.getByRole('heading', { name: 'Over, with a lock still on' })).toBeInViewport();
  for (const place of ['clocks', 'flags', 'devices', 'links', 'accounts']) {
    await page.goto(`${server.url}/office/${place}`);
    await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
    await harmless(page, place);
  }

  await page.goto(`${server.url}/office/programme?crew=made-up`);
  // People are drawn with the form, once somebody opens it.
  const inspected = page.getByRole('group', { name: 'Employees included' }).getByRole('checkbox');
  await expect(inspected).toHaveCount(0);
  await page.getByText('Write down an inspection').click();
  expect(await inspected.count()).toBeGreaterThan(2);

  await page.goto(`${server.url}/office/jobs?crew=made-up&q=door+lock`);
  await bagsInBulk(page);
  await page.locator('main li a').first().click();
  await expect(page).toHaveURL(/\/office\/jobs\/[0-9a-f-]{36}$/u);
  await expect(page.getByText('Demonstration: this job is made up.')).toBeVisible();
  await expect(page.locator('main img').first()).toBeAttached();
  await harmless(page, 'job');
  const bagAddress = `${page.url()}/bag`;
  const photo = new URL(
    (await page.locator('main img').first().getAttribute('src')) ?? '',
    page.url(),
  ).href;
  const shown = await page.request.get(photo);
  expect(shown.headers()).toMatchObject({
    'content-type': 'image/jpeg',
    'x-content-type-options': 'nosniff',
    'content-security-policy': "default-src 'none'; sandbox",
  });
  await page.goto(photo);
  expect(await page.evaluate(() => 'ran' in window)).toBe(false);
  // The browser's own page around a picture is refused its style as well, and says so.
  const own = complaints.filter((each) => each.startsWith('Applying inline style violates'));
  for (const each of own) complaints.splice(complaints.indexOf(each), 1);
  const bag = await page.request.get(bagAddress);
  expect(bag.headers()['content-disposition']).toContain('filename="demonstration-');
  expect((await bag.body()).subarray(0, 2).toString()).toBe('PK');

  const csv = await page.request.get(`${server.url}/office/out/jobs.csv?crew=made-up`);
  expect(csv.headers()).toMatchObject({
    'content-disposition': 'attachment; filename="demonstration-jobs.csv"',
    'content-security-policy': "default-src 'none'; sandbox",
  });
  const rows = cellsOf(await csv.text());
  expect(rows.length).toBeGreaterThan(25);
  const at = rows[0]?.indexOf('site') ?? -1;
  expect(rows.slice(1).map((row) => row[at])).toContain(`'${FORMULA}`);
  // OWASP, CSV Injection: these begin a formula.
  expect(rows.flat().filter((cell) => /^[\s]*[=+\-@]/u.test(cell))).toEqual([]);
  expect(new Set(rows.slice(1).map(([mark]) => mark))).toEqual(new Set(['true']));
  const looks = cellsOf(
    await (await page.request.get(`${server.url}/office/out/looks.csv?crew=made-up`)).text(),
  );
  expect(looks.length).toBeGreaterThan(1);
  expect(looks.flat().filter((cell) => /^[\s]*[=+\-@]/u.test(cell))).toEqual([]);
  for (const file of ['jobs.ndjson', 'entries.ndjson']) {
    const lines = await page.request.get(`${server.url}/office/out/${file}?crew=made-up`);
    expect(lines.headers()['content-type']).toBe('application/x-ndjson');
    const told = (await lines.text()).trimEnd().split('\n');
    for (const line of told)
      expect(JSON.parse(line) as object).toMatchObject({ demonstration: true });
  }
});

test('of a long list all that is overdue is drawn, the rest when it is asked for, and forms when opened', async ({
  page,
}) => {
  const officer = { login: 'long', name: 'Lena Long', password: 'ten round brass nuts' };
  const made = await makeAccount(house, { ...officer, role: 'officer' }, 'console');
  if (!made.ok) throw new Error(made.says);
  const value = await beginSession(house.database.rows, made.value.id, house.now());
  await page.context().addCookies([{ name: 'stillwire-office', value, url: server.url }]);
  const kept = Array.from({ length: 150 }, (_, no) => `Gloves, pair ${String(no)}, made up`);
  for (const [no, label] of kept.entries()) {
    const dueDay = no < 25 ? `2020-03-${String(no + 1).padStart(2, '0')}` : '2090-01-01';
    const asked = { kind: 'gloves', label, person: null, doneDay: '2020-01-01', dueDay };
    const done = await keepByDay(house, asked, 'console');
    expect(done.ok).toBe(true);
  }
  await page.goto(`${server.url}/office/programme?crew=made-up`);
  const list = page.getByRole('region', { name: 'Training, instruments and gloves' });
  const pairs = async () =>
    (await list.getByRole('listitem').allInnerTexts()).flatMap(
      (text) => /Gloves, pair \d+, made up/u.exec(text) ?? [],
    );
  await expect(list.getByRole('listitem').first()).toBeVisible();
  // All that is overdue, and of the others none yet.
  expect(await pairs()).toEqual(kept.slice(0, 25));
  await list.getByRole('button', { name: /^Show 100 more of \d+$/u }).click();
  await list.getByRole('button', { name: /^Show the other \d+$/u }).click();
  expect((await pairs()).sort()).toEqual([...kept].sort());
  await expect(list.getByRole('button', { name: /^Show/u })).toHaveCount(0);
  // A row that was drawn later ends like one of the first.
  await list
    .getByRole('listitem')
    .filter({ hasText: 'Gloves, pair 149, made up' })
    .getByRole('button')
    .click();
  await expect.poll(pairs).toHaveLength(149);

  await page.goto(`${server.url}/office/looks?crew=made-up`);
  const look = page.locator('main article').first();
  await expect(look.getByLabel('How it ended')).toHaveCount(0);
  await look.getByText('Close this look').click();
  await expect(look.locator('select[name="as"]')).toBeVisible();
  await expect(look.locator('form')).toHaveCount(1);
  const open = await house.database.rows
    .selectFrom('keepings')
    .select('no')
    .where('ended_at', 'is', null)
    .where('label', 'like', 'Gloves, pair%')
    .execute();
  for (const { no } of open) await endKeeping(house, no, 'console');
});

/** Every form of the officer's pages, by its address. */
const WRITES = [
  'now?/release',
  ...['note', 'countersign', 'amend'].map((act) => `jobs/JOB?/${act}`),
  ...['screen', 'ask', 'answer', 'note', 'close'].map((act) => `looks?/${act}`),
  ...['inspect', 'keep', 'end', 'sample', 'limit'].map((act) => `programme?/${act}`),
];

test('an auditor reads and takes out everything that is open, and writes nothing', async ({
  page,
}) => {
  const { database, now } = house;
  const reader = { login: 'audit', name: 'Avery Audit', password: 'nine plain iron keys' };
  const made = await makeAccount(house, { ...reader, role: 'reader' }, 'console');
  if (!made.ok) throw new Error(made.says);
  const value = await beginSession(database.rows, made.value.id, now());
  await page.context().addCookies([{ name: 'stillwire-office', value, url: server.url }]);
  const { job } = await database.rows.selectFrom('jobs').select('job').executeTakeFirstOrThrow();
  for (const place of ['now', 'jobs', `jobs/${job}`, 'looks', 'programme']) {
    await page.goto(`${server.url}/office/${place}?crew=made-up`);
    await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
    await expect(page.locator('main form[method="post"]'), place).toHaveCount(0);
  }
  const before = await database.rows.selectFrom('leaves').select('idx').execute();
  for (const write of WRITES) {
    const answer = await page.request.post(`${server.url}/office/${write.replace('JOB', job)}`, {
      headers: { Origin: server.url, Accept: 'application/json' },
      form: { text: 'x', look: '1', as: 'ours', seq: '0', no: '1', job },
    });
    expect(answer.status(), write).toBe(403);
    expect(await answer.json(), write).toMatchObject({ type: 'error' });
  }
  expect(await database.rows.selectFrom('leaves').select('idx').execute()).toEqual(before);
  // Nobody was asked yet, so nobody but the officer sees a look.
  const looks = await page.request.get(`${server.url}/office/out/looks.csv?crew=made-up`);
  expect((await looks.text()).trimEnd().split('\r\n')).toHaveLength(1);
  for (const file of ['jobs.csv', 'jobs.ndjson', 'entries.ndjson'])
    expect((await page.request.get(`${server.url}/office/out/${file}`)).status(), file).toBe(200);
});
