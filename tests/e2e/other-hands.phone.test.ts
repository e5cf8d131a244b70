// The whole range job by people whom a screen usually forgets. Holds are jumped over on the clock of the page.
import { expect } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import { GlovedHand, HearingHand, KeyHand } from '../support/job-hands.ts';
import { test } from '../support/quiet-page.ts';
import { closeAndFinish, CONNECTORS, reseat, untilRefit } from '../support/range-job.ts';

test.setTimeout(180_000);

for (const [how, Hand, gloves] of [
  ['by keyboard alone', KeyHand, 'worn'],
  ['by the names that a screen reader says', HearingHand, 'worn'],
  ['with 20 mm under every finger on a screen 360 px wide', GlovedHand, 'always'],
] as const) {
  test(`the whole range job ${how}`, async ({ page }) => {
    await page.clock.install();
    await page.addInitScript((kept) => localStorage.setItem('stillwire.gloves', kept), gloves);
    await page.goto('/');
    const first = new JobHand(page);
    await first.tap('Try the demonstration job');
    const hand = new Hand(page);
    hand.quick = true;
    await untilRefit(hand);
    await reseat(hand, CONNECTORS.length, 1);
    await closeAndFinish(hand);
    await expect(page.getByRole('heading', { level: 1 })).toHaveText('Handed back');
  });
}
