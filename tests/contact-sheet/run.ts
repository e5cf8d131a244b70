/**
 * Every screen on one sheet: `npm run contact-sheet`. Walks one job, the pages around it and the office in a
 * real browser, and takes each screen in every light and language, on a phone and on a desk. Writes the
 * pictures and one sheet for each combination to `.tmp/contact-sheet`. For the eye; it judges nothing. More pages
 * of the office are taken with `npm run contact-sheet -- /office/…`.
 */
import { chromium } from '@playwright/test';
import type { Browser, Page } from '@playwright/test';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'yaml';
import { openHouse } from '#lib/server/house.ts';
import { readSettings } from '#lib/server/settings.ts';
import { findBrowser } from '../../src/setup/browser.mjs';
import { startApp } from '../support/app-server.ts';
import { demonstrationCrew } from '../support/demonstration-crew.ts';
import { JobHand } from '../support/job-hand.ts';
import { HearingHand } from '../support/job-hands.ts';
import { officeBegun } from '../support/office-hand.ts';
import { closeAndFinish, CONNECTORS, reseat, untilRefit } from '../support/range-job.ts';

const out = fileURLToPath(new URL('../../.tmp/contact-sheet/', import.meta.url));
const SIZES = { phone: { width: 360, height: 740 }, desk: { width: 1280, height: 800 } } as const;
type Size = keyof typeof SIZES;
const LANGUAGES = ['en', 'es'] as const;
const LIGHTS: Readonly<Record<Size, readonly string[]>> = {
  phone: ['day', 'night', 'sun', 'cupboard'],
  desk: ['day', 'night'],
};
/** Steps of the range job whose form is a kind of its own. */
const STEPS = new Set([
  'told',
  'supply',
  'complaint',
  'breaker-lock',
  'cool',
  'dead',
  'wires',
  'door-switch',
  'motor',
  'verdict',
  'bond',
  'clear',
  'power',
]);
const more = process.argv.slice(2);
const wrong = more.find((each) => !each.startsWith('/'));
if (wrong !== undefined) {
  process.stderr.write(`${wrong}: no address of a page. npm run contact-sheet [-- /office/… …]\n`);
  process.exit(2);
}

const PAGES = [
  '/',
  '/jobs',
  '/jobs/new?checklist=range-door-lock',
  '/jobs/join',
  '/checklists',
  '/checklists/bench-grinder',
  '/checklists/bench-grinder/proof',
  '/verify',
  '/sending',
  '/about/marks',
  '/no-such-page',
];
const OFFICE = [
  '/office/devices',
  '/office/clocks',
  '/office/flags',
  '/office/links',
  '/office/accounts',
  ...more,
];
/** Pages about jobs show the made-up crew, which says on every picture that it is made up. */
const CREW = ['now', 'jobs', 'looks', 'programme'].map((place) => `/office/${place}?crew=made-up`);

/** Names of the screens taken, in order. */
const taken: string[] = [];

async function shoot(page: Page, screen: string, { here = false } = {}): Promise<void> {
  taken.push(screen);
  process.stderr.write(`${screen}\n`);
  for (const language of LANGUAGES) {
    await page.evaluate((spoken) => localStorage.setItem('stillwire.language', spoken), language);
    if (!here) await page.reload();
    await page.locator('h1').first().waitFor();
    await page.evaluate(() => document.fonts.ready);
    for (const size of Object.keys(SIZES) as Size[]) {
      await page.setViewportSize(SIZES[size]);
      for (const light of LIGHTS[size]) {
        await page.evaluate((worn) => (document.documentElement.dataset['light'] = worn), light);
        await page.screenshot({
          path: picture(screen, size, light, language),
          animations: 'disabled',
        });
      }
    }
  }
  await page.evaluate(() => localStorage.setItem('stillwire.language', 'en'));
  await page.setViewportSize(SIZES.phone);
  if (!here) await page.reload();
}

function picture(screen: string, size: Size, light: string, language: string): string {
  const name = screen.replace(/[^a-z0-9]+/giu, '-');
  return join(out, `${name}.${size}.${light}.${language}.png`);
}

async function pages(page: Page, root: string, paths: readonly string[]): Promise<void> {
  for (const path of paths) {
    const answer = await page.goto(`${root}${path}`);
    if (answer?.status() === 404 && path !== '/no-such-page')
      throw new Error(`There is no ${path}.`);
    await shoot(page, path);
  }
}

/** Fills the office with a made-up crew. @returns the page of a job of theirs that met a closed gate */
async function madeUpCrew(data: string): Promise<string> {
  const read = readSettings({ STILLWIRE_DATA: data });
  if (!read.ok) throw new Error(read.problems.join(' '));
  const house = await openHouse(read.settings);
  try {
    await demonstrationCrew(house, undefined, { honest: 6 });
    const { job } = await house.database.rows
      .selectFrom('jobs')
      .select('job')
      .where('demo', '=', 1)
      .orderBy('refusals', 'desc')
      .executeTakeFirstOrThrow();
    return `/office/jobs/${job}`;
  } finally {
    await house.close();
  }
}

/** Goes on after a page was loaded anew for its pictures, which takes the focus from the instruction. */
class SheetHand extends HearingHand {
  override at(say: string): Promise<void> {
    return JobHand.prototype.at.call(this, say);
  }
}

async function job(page: Page, root: string): Promise<void> {
  await page.goto(root);
  await page.getByRole('button', { name: 'Try the demonstration job' }).click();
  const texts = parsedSteps();
  const hand: JobHand = new SheetHand(page, async (say) => {
    const id = texts.get(say);
    if (id !== undefined && STEPS.delete(id)) await shoot(page, `step ${id}`);
  });
  await untilRefit(hand);
  await reseat(hand, CONNECTORS.length, 2);
  await shoot(page, 'step rewire');
  for (const panel of [0, 1, 2]) {
    await page.locator('.stops nav button').nth(panel).click();
    await page.getByRole('dialog').waitFor();
    taken.push(`panel ${panel}`);
    await lights(page, `panel ${panel}`);
    await page.keyboard.press('Escape');
  }
  const address = page.url();
  await page.getByRole('link', { name: 'Whole sheet' }).click();
  await page.getByRole('heading', { level: 1 }).waitFor();
  await shoot(page, 'whole sheet');
  await page.goto(address);
  await reseat(hand, 1, 1);
  await closeAndFinish(hand);
  await shoot(page, 'handed back');
}

/** A panel would close with a reload: it is taken in English only. */
async function lights(page: Page, screen: string): Promise<void> {
  for (const size of Object.keys(SIZES) as Size[]) {
    await page.setViewportSize(SIZES[size]);
    for (const light of LIGHTS[size]) {
      await page.evaluate((worn) => (document.documentElement.dataset['light'] = worn), light);
      await page.screenshot({ path: picture(screen, size, light, 'en'), animations: 'disabled' });
    }
  }
  await page.setViewportSize(SIZES.phone);
}

function parsedSteps(): Map<string, string> {
  const text = readFileSync(
    new URL('../../checklists/range-door-lock.yaml', import.meta.url),
    'utf8',
  );
  const { steps } = parse(text) as { steps: readonly { id: string; say: string }[] };
  return new Map(steps.map(({ id, say }) => [say, id]));
}

/** One picture of all screens in one size, light and language. */
async function sheet(browser: Browser, size: Size, light: string, language: string): Promise<void> {
  const wide = size === 'phone' ? 270 : 480;
  const page = await browser.newPage({ viewport: { width: 6 * (wide + 12), height: 800 } });
  const figures = taken.flatMap((screen) => {
    const file = picture(screen, size, light, language);
    const seen = existsSync(file) ? file : undefined;
    return seen === undefined
      ? []
      : [
          `<figure><img src="data:image/png;base64,${readFileSync(seen).toString('base64')}"><figcaption>${screen}</figcaption></figure>`,
        ];
  });
  await page.setContent(
    `<style>body{margin:6px;display:flex;flex-wrap:wrap;gap:12px;font:14px sans-serif;background:#888}figure{margin:0;width:${wide}px}img{width:100%;display:block}</style>${figures.join('')}`,
  );
  await page.screenshot({
    path: join(out, `sheet.${size}.${light}.${language}.png`),
    fullPage: true,
  });
  await page.close();
}

rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
const data = mkdtempSync(join(tmpdir(), 'stillwire-sheet-'));
const server = await startApp({ STILLWIRE_DATA: data });
const browser = await chromium.launch({
  executablePath: (await findBrowser()) ?? '',
  chromiumSandbox: process.getuid?.() !== 0,
});
try {
  const page = await browser.newPage({ viewport: SIZES.phone });
  await job(page, server.url);
  await pages(page, server.url, PAGES);
  await page.goto(`${server.url}/office`);
  await shoot(page, 'office set-up');
  await officeBegun(page, server.url, server.said(), 'mara Mara Quill');
  await pages(page, server.url, OFFICE);
  const story = await madeUpCrew(data);
  await pages(page, server.url, [...CREW, story]);
  for (const size of Object.keys(SIZES) as Size[])
    for (const light of LIGHTS[size])
      for (const language of LANGUAGES) await sheet(browser, size, light, language);
  writeFileSync(join(out, 'screens.txt'), `${taken.join('\n')}\n`);
  process.stdout.write(`${taken.length} screens are on the sheets in .tmp/contact-sheet.\n`);
} finally {
  await browser.close();
  await server.stop();
  rmSync(data, { recursive: true, force: true });
}
