import AxeBuilder from '@axe-core/playwright';
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import { everyEndStays } from '../support/leaving.ts';
import { test } from '../support/quiet-page.ts';
import { arrive, isolate, step } from '../support/range-job.ts';

test.setTimeout(180_000);

const INES = 'Ines Halloran (demonstration)';
const BO = 'Bo Castell (demonstration)';

async function more(page: Page, what: RegExp): Promise<void> {
  await page.getByRole('button', { name: 'More', exact: true }).click();
  await page.getByRole('dialog').getByRole('button', { name: what }).click();
}

async function closePanel(page: Page): Promise<void> {
  await page
    .getByRole('dialog')
    .getByRole('button', { name: 'Back to the job', exact: true })
    .click();
}

async function joinsAndTakes(hand: JobHand, name: string): Promise<void> {
  await more(hand.page, /^People/u);
  await hand.tap(name);
  await hand.hold(`${name} takes the device`);
  await closePanel(hand.page);
}

async function accessible(page: Page): Promise<void> {
  const seen = await new AxeBuilder({ page }).include('dialog').analyze();
  expect(seen.violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
}

test('hand-over with the incoming lock first, and the lock of somebody who is away', async ({
  page,
}) => {
  await page.goto('/');
  page.setDefaultTimeout(15_000);
  const hand = new JobHand(page);
  await hand.tap('Try the demonstration job');
  await arrive(hand);
  await isolate(hand);
  await hand.at(step('dead').say);
  await hand.figures('119.9', '0.1', '0.0', '0.0', '0.1', '0.0', '0.0', '119.8');
  await hand.hold(/Every pair is dead/u);
  await hand.at(step('rear-off').say);

  // Two people and one lock: what is open is not touched.
  await more(page, /^People/u);
  await hand.tap(BO);
  await expect(page.getByRole('button', { name: `${BO} takes the device` })).toBeVisible();
  await closePanel(page);
  await page.getByRole('link', { name: 'Whole sheet' }).click();
  await page.getByRole('button', { name: step('rear-off').say }).click();
  await expect(page.getByText(/Bo Castell.* has no lock of their own/u)).toBeVisible();

  await more(page, /^Hand over/u);
  await hand.tap(BO);
  await expect(page.getByText(/^Walk to “.*” together first/u)).toBeVisible();
  for (const walk of await page.getByRole('button', { name: /both saw it cut/u }).all())
    await walk.click();
  await accessible(page);
  await hand.hold(/takes over this job/u);
  await expect(page.getByText(/puts a lock on .* before yours comes off/u)).toBeVisible();
  await page.getByLabel(/number of the lock that now hangs/u).fill('4');
  await hand.hold(/takes over this job/u);
  await expect(page.getByText(/Lock 4 is already on/u)).toBeVisible();
  await page.getByLabel(/number of the lock that now hangs/u).fill('5');
  await hand.hold(/takes over this job/u);
  await expect(page.getByRole('dialog')).toHaveCount(0);
  // Whoever came is briefed, and what was proved before the hand-over counts no more.
  await hand.at(step('told').say);
  await expect(page.getByText('PROVED DEAD')).toHaveCount(0);
  await page.getByRole('link', { name: 'Whole sheet' }).click();
  await page.getByRole('button', { name: step('rear-off').say }).click();
  await expect(
    page.getByRole('button', { name: /The proof that .* is dead has lapsed/u }),
  ).toBeVisible();

  // Left in the evening under Bo's own lock; Ines comes alone.
  await more(page, /^Leave the job/u);
  await hand.tap(/^Park it shut/u);
  await everyEndStays(page);
  await page.getByLabel('Who was told').fill('the tenant');
  await page.getByLabel('Who owns it until then').fill('dispatch');
  await page.getByLabel('Until', { exact: true }).fill('2099-01-04');
  await hand.hold(/^Park it shut press and hold/u);
  await joinsAndTakes(hand, INES);
  await hand.hold('Take the job up again');

  await more(page, /^Locks/u);
  await expect(page.getByRole('dialog')).toContainText('STRAY');
  await accessible(page);
  await hand.tap(`Take it off for ${BO}`);
  await page.getByLabel(/is not on the site/u).fill('The house is empty and his van is gone');
  await hand.tap('Called by phone');
  await page.getByLabel(/Or somebody who is not on this job/u).fill('Officer Vahl');
  await hand.hold('Lock 5 is off');
  await expect(page.getByText(/Three facts first/u)).toBeVisible();
  await page.getByLabel(/will know before working here again/u).fill('The key is held at dispatch');
  await page.getByLabel(/Or somebody who is not on this job/u).fill('');
  await hand.hold('Lock 5 is off');
  await expect(page.getByText(/needs a second, authorized person/u)).toBeVisible();
  await page.getByLabel(/Or somebody who is not on this job/u).fill('Officer Vahl');
  await accessible(page);
  await hand.hold('Lock 5 is off');
  await expect(page.getByRole('dialog')).toContainText('No lock hangs on this machine');
  await closePanel(page);

  // Its owner reads of it before anything else is shown.
  await joinsAndTakes(hand, BO);
  await hand.at('Your lock 5 was taken off');
  await expect(page.getByText('The key is held at dispatch')).toBeVisible();
  await page.reload();
  await hand.at('Your lock 5 was taken off');
  await hand.hold(/I have read it/u);
  await expect(page.getByRole('heading', { level: 1 })).not.toHaveText(/was taken off/u);
});
