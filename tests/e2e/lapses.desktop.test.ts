// The lapse table on the screen: the same exposed job again and again, one event each, said in one touch.
// The exposed step closes at once, and exactly the right steps stand open again.
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { plant } from '../support/planted-job.ts';
import { rangeUntil } from '../support/prepared-job.ts';
import { test } from '../support/quiet-page.ts';
import { step } from '../support/range-job.ts';
import { ROWS } from '../replays/lapse-rows.ts';

test.setTimeout(180_000);

const MINUTE = 60_000;
const jobId = (number: number) =>
  `019ac0de-7000-7abc-8def-${number.toString(16).padStart(12, '0')}`;

/** What the whole list beside the step says has to be done again, in order. */
async function askedAgain(page: Page): Promise<readonly string[]> {
  return page.locator('aside button.lapsed .say').allTextContents();
}

const heading = (page: Page) => page.getByRole('heading', { level: 1 });

test('each row of the lapse table closes the open machine and asks for exactly what it ended', async ({
  page,
}) => {
  const prepared = new Map<string, Awaited<ReturnType<typeof rangeUntil>>>();
  for (const { until } of ROWS) prepared.set(until, await rangeUntil(until));
  const [any] = prepared.values();
  await page.clock.install({ time: Date.parse(any?.last.at ?? '') });
  await page.goto('/jobs');
  await expect(page.getByText('Start')).not.toHaveCount(0);
  const onScreen = ROWS.filter(({ touches }) => touches !== undefined);
  for (const [number, { until }] of onScreen.entries()) {
    const job = prepared.get(until);
    if (job) await plant(page, job, jobId(number));
  }

  for (const [number, row] of onScreen.entries()) {
    const at = Date.parse(prepared.get(row.until)?.last.at ?? '');
    await page.clock.setSystemTime(at + (row.goneMs ?? 20_000));
    await page.goto(`/jobs/${jobId(number)}`);
    if (row.goneMs === undefined) {
      // Before it: the exposed step is due and can be done.
      await expect(heading(page), row.name).toHaveText(step(row.until).say);
      await expect(page.locator('article .waits, article [class*="refus"]')).toHaveCount(0);
      await page.getByRole('button', { name: 'More' }).click();
      await page.getByRole('button', { name: /^Something changed/u }).click();
    } else {
      const back = page.getByRole('dialog', { name: 'Back at the job' });
      await expect(back, row.name).toContainText('Story so far');
      await expect(back).toContainText(`${Math.floor(row.goneMs / MINUTE)} min`);
      await expect(back).toContainText('Nothing here can tell how long things stood');
      for (const id of row.byItself ?? []) await expect(back).toContainText(step(id).say);
    }
    for (const touch of row.touches ?? []) await page.getByRole('button', { name: touch }).click();
    await expect(page.getByRole('dialog'), row.name).toHaveCount(0);
    await expect
      .poll(() => askedAgain(page), row.name)
      .toEqual(row.asked.map((id) => step(id).say));
    if (row.asked.length === 0) {
      await expect(heading(page), row.name).toHaveText(step(row.until).say);
      continue;
    }
    if (row.closes === false) continue;
    // The nearest of them is due, and the exposed step says why it waits instead of opening.
    await expect(heading(page), row.name).toHaveText(step(row.asked[0] ?? '').say);
    await page
      .locator('aside')
      .getByRole('button', { name: step(row.until).say })
      .click();
    await expect(heading(page)).toHaveText(step(row.until).say);
    await expect(page.locator('article input[type="file"], article button.act')).toHaveCount(0);
  }
});
