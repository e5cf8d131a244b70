import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import { test } from '../support/quiet-page.ts';
import { closeAndFinish, CONNECTORS, reseat, step, untilRefit } from '../support/range-job.ts';
import { stillwire } from '../support/stillwire.ts';

// The holds are jumped over on the clock of the page; screens.test.ts holds in real time.
test.setTimeout(240_000);

test('the whole range job with the network off, from the first page to a bag that verifies', async ({
  page,
  context,
}, info) => {
  await page.clock.install();
  await page.goto('/');
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  await context.setOffline(true);
  await page.goto('/');

  const hand = new JobHand(page);
  hand.quick = true;
  await hand.tap('Try the demonstration job');
  await untilRefit(hand);
  await reseat(hand, CONNECTORS.length, 2);
  await nothingComesOnWithOneConnectorOff(page);
  await hand.at(step('rewire').say);
  await page.reload();
  await reseat(hand, 1, 1);
  await closeAndFinish(hand);
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('Handed back');

  const started = page.waitForEvent('download');
  await hand.tap('Download the evidence bag');
  const download = await started;
  expect(download.suggestedFilename()).toMatch(/\.zip$/u);
  const bag = info.outputPath(download.suggestedFilename());
  await download.saveAs(bag);
  const verified = await stillwire('verify', bag);
  expect(verified.output).toContain('Nothing in this bag was changed');
  expect(verified.code).toBe(0);

  await page.goto('/verify');
  await page.getByLabel('Choose a bag').setInputFiles(bag);
  await expect(page.getByRole('status').getByRole('heading')).toContainText('Unchanged');
  await expect(page.getByText('The seal over all files')).toBeVisible();
  info.annotations.push({ type: 'actions', description: String(hand.actions) });
});

/** Every way to power waits for the connector by its name, and the tap leads to it. */
async function nothingComesOnWithOneConnectorOff(page: Page): Promise<void> {
  for (const id of ['clear', 'unlock', 'plug-in', 'power']) {
    await page.getByRole('link', { name: 'Whole sheet' }).click();
    await page.getByRole('button', { name: step(id).say }).click();
    await expect(page.getByRole('heading', { level: 1 })).toHaveText(step(id).say);
    await expect(page.getByText(/Connector wires-1 .* is still off/u)).toBeVisible();
    await expect(page.locator('article button.act')).toHaveCount(0);
  }
  await page.getByRole('button', { name: /Connector wires-1 .* is still off/u }).click();
}
