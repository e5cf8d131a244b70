import AxeBuilder from '@axe-core/playwright';
import { expect } from '@playwright/test';
import { JobHand, pictureFrom } from '../support/job-hand.ts';
import { everyEndStays } from '../support/leaving.ts';
import { test } from '../support/quiet-page.ts';
import { arrive, isolate, step } from '../support/range-job.ts';
import { stillwire } from '../support/stillwire.ts';

test.setTimeout(240_000);

const MONDAY = new Date('2026-11-30T16:40:00');
const THURSDAY = new Date('2026-12-03T08:10:00');

test('parked on Monday, taken up on another device on Thursday, and one bag tells both visits', async ({
  page,
  browser,
}, info) => {
  page.setDefaultTimeout(20_000);
  await page.clock.install({ time: MONDAY });
  await page.goto('/');
  const hand = new JobHand(page);
  await hand.tap('Try the demonstration job');
  await arrive(hand);
  await isolate(hand);
  await hand.at(step('dead').say);
  await hand.figures('119.9', '0.1', '0.0', '0.0', '0.1', '0.0', '0.0', '119.8');
  await hand.hold(/Every pair is dead/u);
  await hand.at(step('rear-off').say);
  await hand.photo('Photograph it before', await pictureFrom(page, 'REAR'));
  await hand.hold(/Open: Rear cover/u);

  await page.getByRole('button', { name: 'More', exact: true }).click();
  await hand.tap(/^Leave the job/u);
  await hand.tap(/^Park it shut/u);
  await everyEndStays(page);
  await page.getByLabel('Who was told').fill('the tenant');
  await page.getByLabel('Who owns it until then').fill('dispatch desk 2');
  await page.getByLabel('Until', { exact: true }).fill('2026-12-07');
  await page.getByLabel('Number of the parked lock, if one stays on').fill('9');
  await hand.hold(/^Park it shut press and hold/u);
  await hand.at('Parked shut');
  const saved = page.waitForEvent('download');
  await hand.hold('Pass it to another device');
  const file = info.outputPath('record.zip');
  await (await saved).saveAs(file);
  await expect(page.getByText(/^Passed to another device/u)).toBeVisible();
  await hand.hold('Take the job up again');
  await expect(
    page.getByText(/passed to another device, and only one may write/u).first(),
  ).toBeVisible();

  const elsewhere = await browser.newContext({ viewport: { width: 360, height: 740 } });
  const other = await elsewhere.newPage();
  other.setDefaultTimeout(20_000);
  await other.clock.install({ time: THURSDAY });
  await other.goto('/jobs');
  await other.getByLabel(/^Take up a job from a file/u).setInputFiles(file);
  const second = new JobHand(other);
  await second.at('Parked shut');
  const main = other.getByRole('main');
  await expect(main).toContainText('DO NOT SWITCH ON');
  await expect(main).toContainText('2026-11-30');
  await expect(main.getByRole('listitem').filter({ hasText: /Rear cover/u })).toBeVisible();
  await expect(main).toContainText('dispatch desk 2');
  await expect(main).toContainText('the tenant');
  const seen = await new AxeBuilder({ page: other }).analyze();
  expect(seen.violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
  await expect(other.getByRole('button', { name: 'Take the job up again' })).toHaveCount(0);
  await other.getByLabel('Name', { exact: true }).fill('Rosa Lund');
  await second.tap(/^I take it up/u);
  await second.hold('Take the job up again');
  await expect(other.getByRole('heading', { level: 1 })).not.toHaveText('Parked shut');
  // Nothing that Monday proved is assumed.
  await expect(other.getByText('PROVED DEAD')).toHaveCount(0);

  await other.getByRole('button', { name: 'More', exact: true }).click();
  await second.tap(/^Leave the job/u);
  await second.tap(/^Refuse the job/u);
  await everyEndStays(other);
  await second.tap('It is beyond what I am authorized for');
  await second.hold('Refuse this job');
  const started = other.waitForEvent('download');
  await second.tap('Download the evidence bag');
  const bag = info.outputPath('bag.zip');
  await (await started).saveAs(bag);
  await elsewhere.close();
  const verified = await stillwire('verify', bag);
  expect(verified.output).toContain('Nothing in this bag was changed');
  expect(verified.output).toMatch(/from 2026-11-30T\S+ to 2026-12-03T/u);
  expect(verified.output).toContain('2 keys are sound');
  expect(verified.code).toBe(0);
});
