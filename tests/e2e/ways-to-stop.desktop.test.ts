// The ways to stop a job: each is within reach, and stands in the record.
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import { more, parksShut } from '../support/panels.ts';
import { plant } from '../support/planted-job.ts';
import { rangeUntil, type Prepared } from '../support/prepared-job.ts';
import { test } from '../support/quiet-page.ts';
import { step } from '../support/range-job.ts';
import { rowNamed } from '../replays/lapse-rows.ts';

test.setTimeout(150_000);

const id = (number: number) => `019ac0de-7000-7abc-8def-0000000050${number}0`;

async function planted(page: Page, ...jobs: readonly Prepared[]): Promise<void> {
  await page.clock.install({ time: Date.parse(jobs[0]?.last.at ?? '') });
  await page.goto('/jobs');
  await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
  for (const [number, job] of jobs.entries()) await plant(page, job, id(number));
}

async function take(page: Page, number: number, job: Prepared): Promise<JobHand> {
  await page.clock.setSystemTime(Date.parse(job.last.at) + 20_000);
  await page.goto(`/jobs/${id(number)}`);
  await expect(page.locator('article h1')).toBeVisible();
  return new JobHand(page);
}

test('the ways to stop: what is not ours, a near miss, a tingle, parked, hurt and held', async ({
  page,
}) => {
  const open = await rangeUntil('wires');
  await planted(page, open, open);

  const hand = await take(page, 0, open);
  await more(hand, /^Danger that is not ours/u);
  await page.getByLabel('Who was told').fill('The tenant');
  await hand.tap('A bare or loose wire');
  await expect(page.getByRole('dialog')).toHaveCount(0);
  await more(hand, /^Something changed/u);
  await hand.tap('That was close: a near miss');
  await expect(page.getByRole('dialog')).toHaveCount(0);
  await hand.at(step('wires').say);
  await more(hand, /^Something changed/u);
  await hand.tap('Somebody felt a tingle or a shock');
  // It isolates first: nothing that was thought dead is.
  await hand.at(step('supply').say);
  await hand.tap('Someone is hurt');
  await hand.tap(/^Write it down/u);
  await page.keyboard.press('Escape');
  await hand.at('Tools are down');
  await expect(page.locator('article')).toContainText('Someone is hurt');

  await take(page, 1, open);
  await parksShut(hand, { told: 'The tenant', owner: 'Dispatch', until: '2026-12-02' });
  const tag = page.getByRole('region', { name: 'Tag of the parked machine' });
  await expect(tag).toContainText('DO NOT SWITCH ON');
  await expect(tag).toContainText('A part is on its way');
  await tag.getByRole('link', { name: 'Print the tag' }).click();
  await expect(page.getByRole('region', { name: 'On the machine' })).toContainText('Dispatch');
  await page.getByRole('link', { name: 'Back to the job' }).click();
  await hand.hold('Take the job up again');
  const { asked } = rowNamed('parked shut, and a second visit');
  await expect(page.locator('aside button.lapsed .say')).toHaveText(
    asked.map((each) => step(each).say),
  );
});
