// The office on its first day: set up from the console, and a code for one device.
import type { Page } from '@playwright/test';

export const OFFICE_PASSWORD = 'seven copper bus bars';

/**
 * @param root address of the app, without a slash at the end
 * @param said what the console of the server has said
 * @param people as they are typed, one on a line
 */
export async function officeBegun(
  page: Page,
  root: string,
  said: string,
  people: string,
): Promise<{ readonly code: string }> {
  await page.goto(`${root}/office`);
  await page.getByLabel('Code on the console').fill(/good once: (\S+)/.exec(said)?.[1] ?? '');
  await page.getByLabel('Your name').fill('Ines Vahl');
  await page.getByLabel('Sign-in name').fill('ines');
  await page.getByLabel('Password').fill(OFFICE_PASSWORD);
  await page.getByRole('button', { name: 'Begin' }).click();
  await page.getByLabel('What you call the device').fill('van 3');
  await page.getByLabel('Its people').fill(people);
  await page.getByRole('button', { name: 'Make a code' }).click();
  return { code: (await page.locator('.code').textContent()) ?? '' };
}
