// The minutes with power on: one large button, and when they are over everything is shut until a new proof.
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import { plant } from '../support/planted-job.ts';
import { rangeUntilLive } from '../support/prepared-job.ts';
import { test } from '../support/quiet-page.ts';
import { step } from '../support/range-job.ts';
import { rowNamed } from '../replays/lapse-rows.ts';

test.setTimeout(120_000);

const JOB = '019ac0de-7000-7abc-8def-00000000a11e';
const TOUCH = ['motor-volts', 'rear-off-again', 'top-up-again', 'wires-again'];

/** Height times width of every button in sight, by its words. */
async function sizes(page: Page): Promise<readonly (readonly [string, number])[]> {
  return page.locator('button:visible').evaluateAll((buttons) =>
    buttons.map((button) => {
      const { width, height } = button.getBoundingClientRect();
      return [button.textContent?.trim() ?? '', width * height] as const;
    }),
  );
}

/** No step that puts hands on the machine, and no reading, can be done. */
async function touchIsShut(page: Page): Promise<void> {
  for (const id of TOUCH) {
    await page.getByRole('link', { name: 'Whole sheet' }).click();
    await page
      .getByRole('button', { name: step(id).say })
      .last()
      .click();
    await expect(page.getByRole('heading', { level: 1 })).toHaveText(step(id).say);
    await expect(page.locator('article button.act, article input')).toHaveCount(0);
  }
}

test('a live window: abort is the only large button, and the end of its minutes shuts every touch', async ({
  page,
}, info) => {
  const job = await rangeUntilLive();
  await page.clock.install({ time: Date.parse(job.last.at) + 20_000 });
  await page.goto('/jobs');
  await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
  await plant(page, job, JOB);
  await page.goto(`/jobs/${JOB}`);

  const hand = new JobHand(page);
  hand.quick = true;
  await hand.at(step('live').say);
  await hand.tap(/^Every dead test is good/u);
  await hand.hold(/^Read back: Range circuit/u);
  await hand.at(step('motor-volts').say);
  const abort = page.getByRole('button', { name: 'Abort: power off now' });
  await expect(abort).toBeVisible();
  const [largest, second] = (await sizes(page)).toSorted((a, b) => b[1] - a[1]);
  expect(largest?.[0]).toBe('Abort: power off now');
  expect(largest?.[1]).toBeGreaterThan(1.5 * (second?.[1] ?? 0));
  await page.screenshot({ path: info.outputPath('live.png') });

  await page.clock.fastForward(181_000);
  await expect(page.getByRole('timer')).toHaveText('0:00');
  // The reading that was allowed a moment ago is shut with everything else.
  await expect(page.getByText('The live window is over its time')).toBeVisible();
  await touchIsShut(page);
  await page.screenshot({ path: info.outputPath('over.png') });

  await abort.click();
  await expect(abort).toHaveCount(0);
  await touchIsShut(page);
  await page.getByRole('link', { name: 'Whole sheet' }).click();
  const { asked } = rowNamed('a live window, and the end of it');
  await expect(page.locator('button.lapsed .say')).toHaveText(asked.map((id) => step(id).say));
});

test('where it is wet no window opens, and the page says what else is barred', async ({ page }) => {
  const job = await rangeUntilLive((yaml) =>
    yaml.replace('do: window\n', 'do: window\n    wet: true\n'),
  );
  await page.clock.install({ time: Date.parse(job.last.at) + 20_000 });
  await page.goto('/jobs');
  await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
  await plant(page, job, JOB);
  await page.goto(`/jobs/${JOB}`);
  await expect(page.getByRole('heading', { level: 1 })).toHaveText(step('live').say);
  await expect(page.getByRole('region', { name: 'Waits for' })).toContainText(
    'A live window where it is wet is barred.',
  );
  await expect(page.getByRole('region', { name: /^Barred on this job/u })).toContainText(
    'Bridging the door switch or the lock switch',
  );
  await expect(page.getByRole('button', { name: /^Read back/u })).toHaveCount(0);
  await touchIsShut(page);
});
