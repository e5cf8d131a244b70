import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import AxeBuilder from '@axe-core/playwright';
import { expect, type Page } from '@playwright/test';
import { test } from '../support/quiet-page.ts';

test.setTimeout(120_000);

const lamp = fileURLToPath(new URL('../support/checklists/bench-lamp.yaml', import.meta.url));
const WCAG = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

async function isSound(page: Page): Promise<void> {
  const { violations } = await new AxeBuilder({ page }).withTags(WCAG).analyze();
  expect(violations.map(({ id, nodes }) => `${id} at ${nodes[0]?.target.join(' ')}`)).toEqual([]);
  const over = await page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  );
  expect(over).toBeLessThanOrEqual(0);
}

for (const [light, language] of [
  ['day', 'en'],
  ['night', 'es'],
] as const) {
  test(`a small list is explored to its end on the device, by ${light} in ${language}`, async ({
    page,
  }) => {
    await page.addInitScript(
      ([kept, spoken]) => {
        localStorage.setItem('stillwire.light', kept ?? '');
        localStorage.setItem('stillwire.language', spoken ?? '');
      },
      [light, language],
    );
    await page.goto('/checklists');
    await page.locator('input[type=file]').setInputFiles({
      name: 'bench-lamp.yaml',
      mimeType: 'text/yaml',
      buffer: readFileSync(lamp),
    });
    await page.waitForURL('**/checklists/bench-lamp');
    await page.goto('/checklists/bench-lamp/proof');
    await page.locator('main button.act').click();
    const rows = page.locator('tbody tr');
    await expect(rows).toHaveCount(7, { timeout: 60_000 });
    const states = await page.locator('tbody td').allInnerTexts();
    const shown = await page.locator('dl dd').first().innerText();
    // Every state stands in one phase.
    expect(states.map(Number).reduce((sum, each) => sum + each, 0)).toBe(Number(shown));
    expect(Number(shown)).toBeGreaterThan(1000);
    const properties = page.locator('section[aria-labelledby=sentences] li');
    await expect(properties).toHaveCount(12);
    const held = language === 'en' ? 'held everywhere' : 'se cumplió en todas partes';
    for (const property of await properties.all()) await expect(property).toContainText(held);
    // The words that nobody may take from a walk.
    const text = (await page.locator('main').innerText()).replace(/does not say that.+danger/u, '');
    expect(text).not.toMatch(/\bsafe\b|\bseguro\b|\bsegura\b/iu);
    await isSound(page);
  });
}

test('a large list says what it is, is stopped by hand, and is reached from the start of a job', async ({
  page,
}) => {
  await page.goto('/jobs/new?checklist=range-door-lock');
  await page.locator('a.explored').click();
  await page.waitForURL('**/checklists/range-door-lock/proof');
  await expect(page.getByText('FACE 94MD038').first()).toBeVisible();
  await page.locator('main button.act').click();
  await expect(page.locator('[role=status]')).toContainText(/\d+ states found/u);
  await page.getByRole('button', { name: 'Stop' }).click();
  await expect(page.getByRole('button', { name: 'Explore it now' })).toBeVisible();
  await expect(page.locator('dl')).toHaveCount(0);
});
