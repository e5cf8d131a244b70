import AxeBuilder from '@axe-core/playwright';
import { expect } from '@playwright/test';
import type { Locator, Page } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import {
  closePanel,
  givesPin,
  handsOver,
  joinsByName,
  more,
  parksShut,
  takesTheDevice,
} from '../support/panels.ts';
import { plant } from '../support/planted-job.ts';
import { rangeUntil } from '../support/prepared-job.ts';
import { test } from '../support/quiet-page.ts';
import { step } from '../support/range-job.ts';

test.setTimeout(90_000);

const MARA = 'Mara Lindqvist';
const BO = 'Bo Castell';
const JOB = '019ac0de-7000-7abc-8def-0000000b0b00';

/** The job with everything done before this step, on a clock that the test moves. */
async function at(page: Page, next: string): Promise<JobHand> {
  const job = await rangeUntil(next);
  await page.clock.install({ time: Date.parse(job.last.at) + 20_000 });
  page.setDefaultTimeout(15_000);
  await page.goto('/jobs');
  await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
  await plant(page, job, JOB);
  await page.goto(`/jobs/${JOB}`);
  const hand = new JobHand(page);
  hand.quick = true;
  await hand.at(step(next).say);
  return hand;
}

/** What a step waits for, as its page says it. */
async function waitsFor(page: Page, id: string): Promise<Locator> {
  await page.getByRole('link', { name: 'Whole sheet' }).click();
  await page
    .getByRole('button', { name: step(id).say })
    .first()
    .click();
  await expect(page.getByRole('heading', { level: 1 })).toHaveText(step(id).say);
  return page.getByRole('region', { name: 'Waits for' });
}

/** In a language of their own on a device that speaks another, and said with their own key. */
async function readsBriefing(hand: JobHand, name: string): Promise<void> {
  const { page } = hand;
  await hand.tap(new RegExp(`^Briefing for ${name} ?Not yet read`, 'u'));
  const dialog = page.getByRole('dialog');
  await expect(dialog).toContainText(step('told').say);
  await hand.tap('Español');
  await expect(dialog).toContainText('Diga a cada adulto de la casa');
  await expect(dialog).toContainText('Nuestro candado y tarjeta: nadie conecta esto');
  await accessible(page);
  await hand.hold(`${name}: he leído esto y lo he entendido`);
  await givesPin(hand, name);
  await expect(
    page.getByRole('button', { name: new RegExp(`^Briefing for ${name} ?Read and`, 'u') }),
  ).toBeVisible();
  await closePanel(hand);
  await page.getByRole('link', { name: 'Whole sheet' }).click();
  await expect(page.getByText('read the briefing in this language: Español').last()).toBeVisible();
  await page.goBack();
  await more(hand, /^People/u);
}

async function accessible(page: Page): Promise<void> {
  const seen = await new AxeBuilder({ page }).include('dialog').analyze();
  expect(seen.violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
}

test('hand-over with the incoming lock first, and the lock of somebody who is away', async ({
  page,
}) => {
  const hand = await at(page, 'rear-off');

  // Two people and one lock: what is open is not touched.
  await joinsByName(hand, BO);
  await readsBriefing(hand, BO);
  await closePanel(hand);
  await expect(await waitsFor(page, 'rear-off')).toContainText(
    /Bo Castell has no lock of their own/u,
  );

  await more(hand, /^Hand over/u);
  await hand.tap(BO);
  await expect(page.getByText(/^Walk to “.*” together first/u)).toBeVisible();
  for (const walk of await page.getByRole('button', { name: /both saw it cut/u }).all())
    await walk.click();
  await accessible(page);
  await hand.hold(/takes over this job/u);
  await givesPin(hand, BO);
  await expect(page.getByText(/puts a lock on .* before yours comes off/u)).toBeVisible();
  await page.getByLabel(/number of the lock that now hangs/u).fill('L-31');
  await hand.hold(/takes over this job/u);
  await givesPin(hand, BO);
  await expect(page.getByText(/Lock L-31 is already on/u)).toBeVisible();
  await closePanel(hand);
  await handsOver(hand, BO, '5');
  // Whoever came is briefed, and what was proved before the hand-over counts no more.
  await hand.at(step('told').say);
  await expect(page.getByText('PROVED DEAD')).toHaveCount(0);
  await expect(await waitsFor(page, 'rear-off')).toContainText(
    /The proof that .* is dead has lapsed/u,
  );

  // Left in the evening under Bo's own lock; Mara comes alone.
  await parksShut(hand, { told: 'the tenant', owner: 'dispatch', until: '2099-01-04' });
  await takesTheDevice(hand, MARA);
  await hand.hold('Take the job up again');

  await more(hand, /^Locks/u);
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
  await closePanel(hand);

  // Its owner reads of it before anything else is shown.
  await takesTheDevice(hand, BO, () => givesPin(hand, BO));
  await hand.at('Your lock 5 was taken off');
  await expect(page.getByText('The key is held at dispatch')).toBeVisible();
  await page.reload();
  await hand.at('Your lock 5 was taken off');
  await hand.hold(/I have read it/u);
  await expect(page.getByRole('heading', { level: 1 })).not.toHaveText(/was taken off/u);
});

test('power stays off until everybody who is here has said clear, and the refusal names who has not', async ({
  page,
}) => {
  const hand = await at(page, 'clear');
  await joinsByName(hand, BO);
  await closePanel(hand);
  await hand.at(step('clear').say);
  await hand.hold(`${MARA}: clear`);
  await expect(page.getByText(`${MARA} said clear`)).toBeVisible();
  for (const id of ['unlock', 'plug-in', 'power'])
    await expect(await waitsFor(page, id)).toContainText(`${BO} has not said clear.`);

  await hand.tap('To the step that is due');
  await hand.hold(`${MARA}: clear`);
  await hand.hold(`${BO}: clear`);
  await givesPin(hand, BO);
  await expect(page.getByText(`${BO} said clear`)).toHaveCount(0);
  await expect(page.getByRole('heading', { level: 1 })).not.toHaveText(step('clear').say);

  // Whoever joins after the roll call is missing in it.
  await joinsByName(hand, 'Rosa Lund');
  await closePanel(hand);
  const missing = await waitsFor(page, 'unlock');
  await expect(missing).toContainText('Rosa Lund has not said clear.');
  await expect(missing).not.toContainText(`${BO} has not said clear.`);
  await expect(
    page.locator('article').getByRole('button', { name: /My own lock is off/u }),
  ).toHaveCount(0);
});
