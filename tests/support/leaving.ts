// Leaving a job by its panel.
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';

/** Says of each open end that it stays open; its key then says something else. */
export async function everyEndStays(page: Page): Promise<void> {
  const open = page.getByRole('dialog').getByRole('button', { name: /: open$/u });
  for (let left = await open.count(); left > 0; left--) {
    await open.first().click();
    await expect(open).toHaveCount(left - 1);
  }
}
