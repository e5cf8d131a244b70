import { execFileSync } from 'node:child_process';
import { globSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { expect, type Page } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import { test } from '../support/quiet-page.ts';
import {
  arrive,
  closeAndFinish,
  CONNECTORS,
  isolate,
  reseat,
  step,
  untilRefit,
} from '../support/range-job.ts';

test.setTimeout(300_000);

/** Starts the range job with a meter of ±(0.9 % + 3); a meter of a lower category is refused first. */
async function start(page: Page, hand: JobHand): Promise<void> {
  await page.goto('/jobs/new?checklist=range-door-lock');
  await page.getByLabel(/^Where/u).fill('Flat 2, 9 Alder Row');
  await page.getByLabel('Name', { exact: true }).fill('Ines Calder');
  await page.getByLabel('Number or name on the meter').fill('M-90');
  await page.getByLabel('Calibration due').fill('2099-01-31');
  await page.getByLabel('Accuracy, percent').fill('0.9');
  await page.getByLabel('Accuracy, counts').fill('3');
  await hand.tap('CAT II');
  await hand.hold(/I am authorized/u);
  // IEC 61010-2-030: the category of the place decides before its volts.
  await expect(page.getByText('M-90 is CAT II; this place needs CAT III')).toBeVisible();
  await hand.tap('CAT III');
  await hand.hold(/I am authorized/u);
  await expect(page.getByRole('heading', { level: 1 })).toHaveText(step('told').say);
}

test('1.02 ohm against at most 1 ohm with ±(0.9 % + 3) cannot tell, on the screen and in the bag', async ({
  page,
}, info) => {
  await page.clock.install();
  const hand = new JobHand(page, async (say) => {
    if (say !== step('harness').say) return;
    await page.getByText(/of 6 suspects left/u).click();
    await expect(page.getByText(/^Oven temperature sensor: cleared/u)).toBeVisible();
    // It reads the same at rest and pressed: the switch of this job is the fault.
    await expect(page.getByText(/^Door position switch: blamed by: Read the door/u)).toBeVisible();
    await expect(page.getByText(/^Wiring between .*: still suspected/u)).toBeVisible();
    await page.getByRole('radio', { name: 'Ω', exact: true }).click();
    for (const key of '1.02') await hand.key(key);
    const said = page.getByRole('status').filter({ hasText: 'Cannot tell' });
    // ISO 14253-1: 1.02 ± (0.00918 + 0.03), the limit inside.
    await expect(said).toContainText('0.9808 – 1.059 Ω');
    await expect(said).toContainText('both sides of the limit ≤ 1 Ω');
    await page.screenshot({ path: info.outputPath('cannot-tell.png'), fullPage: true });
    for (let digit = 0; digit < 4; digit++)
      await page.getByRole('button', { name: 'Delete the last digit', exact: true }).click();
  });
  hand.quick = true;
  await start(page, hand);
  await untilRefit(hand, '1.02');
  await reseat(hand, CONNECTORS.length, 1);
  await closeAndFinish(hand);
  const started = page.waitForEvent('download');
  await hand.tap('Download the evidence bag');
  const bag = info.outputPath('bag.zip');
  await (await started).saveAs(bag);

  // With its photos, as whoever receives it opens it.
  const folder = info.outputPath('bag');
  execFileSync('unzip', ['-q', bag, '-d', folder]);
  const [front] = globSync('**/front.html', { cwd: folder });
  await page.goto(pathToFileURL(join(folder, front ?? '')).href);
  const row = page.getByRole('row').filter({ hasText: step('harness').say });
  await expect(row.first()).toContainText('1.02');
  await expect(row.first()).toContainText(/cannot tell/iu);
  await expect(row.first()).toContainText('lies on both sides of the limit');
  await row.first().scrollIntoViewIfNeeded();
  await page.screenshot({ path: info.outputPath('front.png') });
});

test('a meter that shows 177 V on a known 120 V source is benched and the proof refused', async ({
  page,
}, info) => {
  const hand = new JobHand(page);
  await start(page, hand);
  await arrive(hand);
  await isolate(hand);
  await hand.at(step('dead').say);
  // A weak battery has shown 177 V on 120 V (published field case, see `instrument.ts`).
  await hand.figures('177', '0.1', '0.0', '0.0', '0.1', '0.0', '0.0', '177');
  await hand.hold(/Every pair is dead/u);
  await expect(
    page.getByText(/The meter showed 177 V where 120 V is known: it is benched/u).first(),
  ).toBeVisible();
  await expect(page.getByText(/^Benched\. Nothing read with it counts/u)).toBeVisible();
  await hand.at(step('dead').say);
  await expect(page.getByText(/Proved dead/iu)).toHaveCount(0);
  await page.screenshot({ path: info.outputPath('benched.png'), fullPage: true });
});
