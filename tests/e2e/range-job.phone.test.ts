import { expect } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import { test } from '../support/quiet-page.ts';
import { refitAndFinish, untilRefit } from '../support/range-job.ts';

test('the whole range job with the network off, from the first page to a bag', async ({
  page,
  context,
}) => {
  test.setTimeout(180_000);
  await page.goto('/');
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  await context.setOffline(true);
  await page.goto('/');

  const hand = new JobHand(page);
  await hand.tap('Try the demonstration job');
  await untilRefit(hand);
  await refitAndFinish(hand);
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('Handed back');

  const download = page.waitForEvent('download');
  await hand.tap('Download the evidence bag');
  expect((await download).suggestedFilename()).toMatch(/\.zip$/u);
  test.info().annotations.push({ type: 'actions', description: String(hand.actions) });
});
