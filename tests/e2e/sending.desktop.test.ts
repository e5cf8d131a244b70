// A real device, a real office, a server that is killed in the middle of a job and comes back.
import AxeBuilder from '@axe-core/playwright';
import { expect, test } from '@playwright/test';
import type { BrowserContext, Page } from '@playwright/test';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openHouse } from '#lib/server/house.ts';
import { readSettings } from '#lib/server/settings.ts';
import { aLook } from '../support/a-look.ts';
import { startApp } from '../support/app-server.ts';
import type { AppServer } from '../support/app-server.ts';
import { freePort } from '../support/free-port.ts';
import { JobHand } from '../support/job-hand.ts';
import { officeBegun } from '../support/office-hand.ts';
import { closePanel, more } from '../support/panels.ts';
import { arrive } from '../support/range-job.ts';
import { stillwire } from '../support/stillwire.ts';

let data: string;
let env: Record<string, string>;
let server: AppServer;

test.beforeEach(async () => {
  // The first one may have to build the app.
  test.setTimeout(150_000);
  data = mkdtempSync(join(tmpdir(), 'stillwire-sending-'));
  env = { STILLWIRE_DATA: data, PORT: String(await freePort()), STILLWIRE_LOG_LEVEL: 'error' };
  server = await startApp(env);
});
test.afterEach(async () => {
  await server.stop('SIGKILL');
  rmSync(data, { recursive: true, force: true });
});

/** The address in the picture of a code that the office has just made. */
async function codeFromOffice(page: Page, people: string): Promise<string> {
  const { code } = await officeBegun(page, server.url, server.said(), people);
  return `${server.url}/sending#let-in=${code}`;
}

async function letIn(page: Page, link: string): Promise<void> {
  await page.goto(link);
  await expect(page.getByText('Mara Quill')).toBeVisible();
  // The code is good once and is not left where somebody may find it.
  await expect.poll(() => page.url()).not.toContain('let-in');
  await page.getByRole('button', { name: 'Let the office have the records' }).click();
  await expect(page.getByText('All with the office').first()).toBeVisible();
}

async function begin(page: Page): Promise<JobHand> {
  await page.goto(`${server.url}/jobs/new?checklist=range-door-lock`);
  await page.getByLabel(/^Where/u).fill('12 Bell Row, flat 3');
  await page.getByRole('button', { name: 'Mara Quill' }).click();
  await page.getByLabel('Number or name on the meter').fill('M-7');
  await page.getByRole('button', { name: 'CAT III' }).click();
  await page.getByLabel('Rated volts').fill('600');
  await page.getByLabel('Calibration due').fill('2099-12-31');
  const hand = new JobHand(page);
  await hand.hold(/I start this job/u);
  await page.waitForURL(/\/jobs\/[0-9a-f-]{36}$/);
  return hand;
}

const COME_BACK = /^Come-back clock/u;
const line = (page: Page) => page.locator('a[href$="/sending"]');

/** Size of the signed log, as anybody may ask. */
async function logSize(page: Page): Promise<number> {
  const answer = await page.request.get(`${server.url}/tiles/checkpoint`);
  return Number((await answer.text()).split('\n')[1]);
}

test('the server is gone for the middle of a job: nothing changes on site, and later everything arrives', async ({
  page,
}) => {
  await letIn(page, await codeFromOffice(page, 'mara Mara Quill'));
  // The office's clock as a device sees it whose own is twelve minutes ahead.
  await page.route('**/api/log', async (route) => {
    const told = (await (await route.fetch()).json()) as object;
    await route.fulfill({ json: { ...told, at: Date.now() - 725_000 } });
  });
  const hand = await begin(page);
  await expect(page.getByText(/clock of this device is 12 min ahead/u)).toBeVisible();
  await more(hand, COME_BACK);
  await expect(page.getByRole('dialog')).toContainText('Nobody is watching yet');
  await hand.tap('Start the clock');
  await more(hand, COME_BACK);
  await expect(page.getByRole('dialog')).toContainText(/The office watches: .* by .*20\d\d/u);
  await closePanel(hand);
  await expect(line(page)).toHaveText('All with the office', { timeout: 20_000 });
  const before = await logSize(page);

  await page.unroute('**/api/log');
  await server.stop('SIGKILL');
  await arrive(hand);
  await more(hand, COME_BACK);
  await hand.tap('I am back: stop the clock');
  await closePanel(hand);
  await expect(page.getByText(/The office has not heard of this yet/u)).toBeVisible();
  await page.getByRole('link', { name: 'Whole sheet' }).click();
  /* The job says the same of the clock: going back before the sheet is there would leave the job. */
  await page.waitForURL(/\/sheet$/u);
  await expect(page.getByText(/clock of this device is 12 min ahead/u).last()).toBeVisible();
  await page.goBack();
  await expect(line(page)).toContainText(/[1-9]\d* entries not sent yet/u);
  await page.reload();
  await expect(line(page)).toContainText(/[1-9]\d* entries not sent yet/u);

  server = await startApp(env);
  await line(page).click();
  await page.getByRole('button', { name: 'Send now' }).click();
  await expect(page.getByRole('main').getByText('All with the office')).toBeVisible({
    timeout: 20_000,
  });
  expect(await logSize(page)).toBeGreaterThan(before);
  await page.goBack();
  await more(hand, COME_BACK);
  await expect(page.getByRole('dialog')).toContainText('Nobody is watching yet');
  await closePanel(hand);
  await line(page).click();
  await askedAndAnswered(page);

  await page.locator('summary').click();
  const receipt = join(data, 'receipt.tlog-proof');
  writeFileSync(receipt, (await page.locator('details pre').textContent()) ?? '');
  await server.stop();
  const checked = await stillwire('fsck', '--data', data, '--held', receipt);
  expect(checked.output).toContain('Everything that was looked at holds.');
  expect(checked.output).toMatch(/holds +held/u);
  expect(checked.code).toBe(0);
});

/** The officer asks about a clock; the question stands on the device of its person, who answers there. */
async function askedAndAnswered(page: Page): Promise<void> {
  const read = readSettings(env);
  if (!read.ok) throw new Error(read.problems.join(' '));
  const house = await openHouse(read.settings);
  await aLook(house.database.rows, 1, 'mara').finally(() => house.close());
  await page.goto(`${server.url}/office/looks`);
  await page.locator('summary', { hasText: 'Ask the person' }).click();
  await page.getByLabel('Your question, in your words').fill('Was that you?');
  await page.getByRole('button', { name: 'Ask the person' }).click();
  await expect(page.getByText('Asked; the person has the first word.')).toBeVisible();
  await page.goto(`${server.url}/jobs`);
  await expect(line(page)).toHaveText('The office asks 1 thing: look here', { timeout: 20_000 });
  await line(page).click();
  await page.getByText('A question for Mara Quill').click();
  await expect(page.getByText('Was that you?')).toBeVisible();
  await expect(page.getByText('The wall clock went back 200 s')).toBeVisible();
  const { violations } = await new AxeBuilder({ page }).analyze();
  expect(violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
  await page.getByLabel('Your answer, in your words').fill('The phone set it by itself.');
  await page.getByRole('button', { name: 'Answer and sign as Mara Quill' }).click();
  await expect(page.getByText('A question for Mara Quill')).toHaveCount(0);
  await page.goto(`${server.url}/office/looks`);
  await expect(page.getByText('The phone set it by itself.')).toBeVisible();
  await page.goto(`${server.url}/sending`);
}

test('the worker sends what is left when no page of the job is open', async ({ page, context }) => {
  await letIn(page, await codeFromOffice(page, 'mara Mara Quill'));
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  const hand = await begin(page);
  await expect(line(page)).toHaveText('All with the office', { timeout: 20_000 });
  const before = await logSize(page);
  await server.stop('SIGKILL');
  await arrive(hand);
  await expect(line(page)).toContainText(/entries not sent yet/u);
  // The first page sends nothing by itself.
  await page.goto(server.url);
  await expect(line(page)).toHaveCount(0);
  server = await startApp(env);
  await wakeWorker(context, page);
  await expect.poll(() => logSize(page), { timeout: 20_000 }).toBeGreaterThan(before);
});

/** What the browser does when it finds a signal again. */
async function wakeWorker(context: BrowserContext, page: Page): Promise<void> {
  const tools = await context.newCDPSession(page);
  const registered = new Promise<string>((found) => {
    tools.on('ServiceWorker.workerRegistrationUpdated', ({ registrations }) => {
      const [first] = registrations;
      if (first !== undefined) found(first.registrationId);
    });
  });
  await tools.send('ServiceWorker.enable');
  const registrationId = await registered;
  await tools.send('ServiceWorker.dispatchSyncEvent', {
    origin: server.url,
    registrationId,
    tag: 'stillwire-send',
    lastChance: false,
  });
}
