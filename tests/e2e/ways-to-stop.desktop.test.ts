// The ways to stop a job: each is within reach, and stands in the record.
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import { closePanel, more, parksShut } from '../support/panels.ts';
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

test('the ways to stop: what is not ours, a near miss, a tingle, hurt, and parked shut', async ({
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

/** The work can neither go on nor begin anew, now or after the page was loaded again. */
async function isOver(page: Page, name: string, why: string): Promise<void> {
  for (const reload of [false, true]) {
    if (reload) await page.reload();
    await expect(page.getByRole('heading', { level: 1 })).toHaveText(name);
    await expect(page.locator('article')).toContainText(why);
    await expect(
      page.getByRole('button', { name: /^(?:Work starts again|Take the job up again)/u }),
    ).toHaveCount(0);
  }
}

test('stopping asks nobody, starting again does; parked usable, refused, held as evidence', async ({
  page,
}) => {
  const [restored, arriving, open] = [
    await rangeUntil('case-again'),
    await rangeUntil('supply'),
    await rangeUntil('wires'),
  ];
  await planted(page, restored, arriving, open);

  // On again, but its case is not tested since: it may not be left to be used.
  const hand = await take(page, 0, restored);
  hand.quick = true;
  const parks = async () => {
    await more(hand, /^Leave the job/u);
    await hand.tap(/^Park it usable/u);
    await page.getByLabel('Who was told').fill('The tenant');
    await page.getByLabel('Who owns it until then').fill('Dispatch');
    await page.getByLabel('Until', { exact: true }).fill('2026-12-02');
    await hand.hold(/^Park it usable press and hold/u);
  };
  await parks();
  const refused = page.getByRole('region', { name: 'Not taken' });
  await expect(refused).toContainText('case');
  await closePanel(hand);
  await hand.at(step('case-again').say);
  await hand.figures('120', '119.7', '0.3', '0.2');
  await hand.hold('The case and the metal near it are read');
  await parks();
  await hand.at('Parked usable');
  await expect(page.locator('article')).not.toContainText('DO NOT SWITCH ON');
  await expect(page.locator('article')).toContainText('The tenant');
  await hand.hold('Take the job up again');
  await expect(page.locator('aside button.lapsed')).not.toHaveCount(0);

  await take(page, 1, arriving);
  await hand.tap('Down tools');
  await hand.tap('It is wet here');
  await hand.at('Tools are down');
  await expect(page.getByRole('button', { name: /^Work starts again/u })).toHaveCount(0);
  await expect(page.locator('article')).toContainText('Say first who lets work start again');
  await hand.tap('Whoever runs this place');
  await hand.hold(/^Work starts again/u);
  await expect(page.getByRole('heading', { level: 1 })).not.toHaveText('Tools are down');
  await page.getByRole('link', { name: 'Whole sheet' }).click();
  await expect(
    page.getByText('Work may start again, says Whoever runs this place').last(),
  ).toBeVisible();
  await page.goBack();
  // One touch on the reason and one hold: nobody has to agree, and nothing has to be written.
  await more(hand, /^Leave the job/u);
  await hand.tap(/^Refuse the job/u);
  await expect(page.getByRole('dialog').getByRole('region', { name: 'Waits for' })).toHaveCount(0);
  await hand.tap('It is wet here');
  await hand.hold('Refuse this job');
  await isOver(page, 'Refused', 'It is wet here');

  await take(page, 2, open);
  await more(hand, /^Leave the job/u);
  await hand.tap(/^Hold it as evidence/u);
  await hand.hold(/^Hold everything as evidence/u);
  await expect(page.getByRole('region', { name: 'Not taken' })).toBeVisible();
  await page.getByLabel('In other words').fill('Burn marks behind the terminal block');
  await hand.hold(/^Hold everything as evidence/u);
  await isOver(page, 'Held as evidence', 'Burn marks behind the terminal block');
  await expect(page.locator('article')).toContainText('Touch nothing');
});
