// Stopping is never more than one action away: every page that the program has is opened and asked.
import { readdirSync } from 'node:fs';
import { dirname } from 'node:path';
import { fileURLToPath } from 'node:url';
import AxeBuilder from '@axe-core/playwright';
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { startApp } from '../support/app-server.ts';
import type { AppServer } from '../support/app-server.ts';
import { officeBegun } from '../support/office-hand.ts';
import { test } from '../support/quiet-page.ts';

test.setTimeout(120_000);

const PLACE = '12 Lantern Court';
const routes = fileURLToPath(new URL('../../src/routes', import.meta.url));

/** Every page of the program, from the tree of files, so that a new one cannot be forgotten. */
const pages = readdirSync(routes, { recursive: true, encoding: 'utf8' })
  .filter((file) => /(?:^|\/)\+page(?:\.server)?\.(?:svelte|ts)$/u.test(file))
  .map((file) => `/${dirname(file)}`.replace(/\/\([^)]+\)/gu, '').replace(/^\/\.$/u, '') || '/')
  .filter((path, at, all) => all.indexOf(path) === at)
  .sort();

/** What stands for the variable parts of an address. */
const PARTS: readonly (readonly [string, (job: string) => string])[] = [
  ['/jobs/[id]', (job) => `/jobs/${job}`],
  ['/checklists/[id]', () => '/checklists/bench-grinder'],
];

function addressOf(path: string, job: string): string {
  const address = PARTS.reduce((said, [part, of]) => said.replace(part, of(job)), path);
  if (address.includes('[')) throw new Error(`Say in PARTS what stands for the parts of ${path}.`);
  return address;
}

let server: AppServer;
test.beforeAll(async () => {
  server = await startApp();
});
test.afterAll(() => server.stop());

/** One touch each way: the emergency number and the place; the reasons to stop. */
async function stopsHere(page: Page, path: string): Promise<void> {
  const hurt = page.getByRole('button', { name: 'Someone is hurt', exact: true });
  await expect(hurt, path).toHaveCount(1);
  await hurt.click();
  const dialog = page.getByRole('dialog', { name: 'Someone is hurt' });
  const said = dialog.getByRole('listitem');
  await expect(said.nth(0), path).toContainText('Do not touch the person while power may be on');
  await expect(said.nth(1), path).toContainText('Switch the power off');
  await expect(dialog.getByRole('link', { name: '112' }), path).toBeVisible();
  await expect(dialog, path).toContainText(PLACE);
  await page.keyboard.press('Escape');
  const down = page.getByRole('button', { name: 'Down tools', exact: true });
  await expect(down, path).toHaveCount(1);
  await down.click();
  await expect(page.getByRole('button', { name: 'It is wet here' }), path).toBeVisible();
  await page.keyboard.press('Escape');
}

test('down tools and “someone is hurt” are one touch away on every page', async ({
  page,
  complaints,
}) => {
  expect(pages.length).toBeGreaterThan(15);
  await page.goto(`${server.url}/`);
  await page.getByRole('button', { name: 'Someone is hurt', exact: true }).click();
  await expect(page.getByRole('dialog')).toContainText('Say the street, the number and the floor');
  await page.keyboard.press('Escape');
  await page.getByRole('button', { name: 'Down tools', exact: true }).click();
  await expect(page.getByRole('dialog')).toContainText('No job is at work on this device');
  await page.keyboard.press('Escape');

  await page.getByRole('button', { name: 'Try the demonstration job' }).click();
  await expect(page.locator('article h1')).toBeVisible();
  const job = new URL(page.url()).pathname.split('/').at(-1) ?? '';
  // Setting up and signing in are seen by who is not signed in; the other pages of the office after it.
  const before = pages.filter((path) => /^\/office\/(?:set-up|sign-in)$/u.test(path));
  for (const path of before) {
    await page.goto(server.url + path);
    await stopsHere(page, path);
  }
  await officeBegun(page, server.url, server.said(), 'mara Mara Quill');
  for (const path of pages.filter((each) => !before.includes(each))) {
    await page.goto(server.url + addressOf(path, job));
    await stopsHere(page, path);
  }
  await page.goto(`${server.url}/no-such-page`);
  await stopsHere(page, 'an address that does not exist');
  // The browser's own word on that address, and nothing else.
  expect(complaints.splice(0)).toEqual([expect.stringContaining('404')]);

  // From a list, not from the job: it stops the job that is at work, and shows it stopped.
  await page.goto(`${server.url}/checklists`);
  await page.getByRole('button', { name: 'Down tools', exact: true }).click();
  await page.getByRole('button', { name: 'It is wet here' }).click();
  await expect(page).toHaveURL(`${server.url}/jobs/${job}`);
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('Tools are down');
  await expect(page.getByText('It is wet here')).toBeVisible();
});

test('whatever lies over a job has both keys too, and lies there again afterwards', async ({
  page,
}, info) => {
  await page.goto(`${server.url}/`);
  await page.getByRole('button', { name: 'Try the demonstration job' }).click();
  await expect(page.locator('article h1')).toBeVisible();
  const more = page.getByRole('button', { name: 'More', exact: true });
  const panels = page.getByRole('dialog');
  const shown = panels.last();
  const key = (name: string) => shown.getByRole('button', { name, exact: true });

  /** One touch from what lies on top, and back to it. */
  async function stopsOver(name: string): Promise<void> {
    await expect(panels, name).toHaveCount(1);
    await key('Someone is hurt').click();
    await expect(panels, name).toHaveCount(2);
    await expect(shown.getByRole('link', { name: '112' }), name).toBeInViewport();
    // From one to the other as well.
    await key('Down tools').click();
    await expect(key('It is wet here'), name).toBeInViewport();
    await key('Back to the job').click();
    await expect(panels, name).toHaveCount(1);
    await expect(shown.getByRole('heading', { level: 2 }), name).toHaveText(name);
  }

  await more.click();
  const choices = shown.locator('.inside > button');
  await expect(choices.nth(5)).toBeVisible();
  const count = await choices.count();
  await stopsOver('This job');
  for (let at = 0; at < count; at += 1) {
    await choices.nth(at).click();
    await expect(shown.getByRole('heading', { level: 2 })).not.toHaveText('This job');
    const name = await shown.getByRole('heading', { level: 2 }).innerText();
    const { violations } = await new AxeBuilder({ page }).analyze();
    expect(violations.map(({ id }) => `${name}: ${id}`)).toEqual([]);
    await stopsOver(name);
    if (at === 3) await page.screenshot({ path: info.outputPath('panel.png') });
    await key('Back to the job').click();
    await expect(panels).toHaveCount(0);
    await more.click();
  }

  // What was typed before is still there; the touch on a reason stops the job and takes both away.
  await choices.filter({ hasText: 'People' }).click();
  await shown.getByLabel('Name', { exact: true }).fill('Odo Brandt');
  await key('Down tools').click();
  await key('Back to the job').click();
  await expect(shown.getByLabel('Name', { exact: true })).toHaveValue('Odo Brandt');
  await key('Down tools').click();
  await key('It is wet here').click();
  await expect(panels).toHaveCount(0);
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('Tools are down');
});
