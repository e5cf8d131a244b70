import AxeBuilder from '@axe-core/playwright';
import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { JobHand } from '../support/job-hand.ts';
import { test } from '../support/quiet-page.ts';
import { step } from '../support/range-job.ts';

test.setTimeout(120_000);

const WCAG = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

async function wear(page: Page, light: string, language: string): Promise<void> {
  await page.addInitScript(
    ([kept, spoken]) => {
      localStorage.setItem('stillwire.light', kept ?? '');
      localStorage.setItem('stillwire.language', spoken ?? '');
    },
    [light, language],
  );
}

async function isSound(page: Page, screen: string): Promise<void> {
  const { violations } = await new AxeBuilder({ page }).withTags(WCAG).analyze();
  const found = violations.map(
    ({ id, nodes }) =>
      `${screen}: ${id} at ${nodes.map(({ target }) => target.join(' ')).join(', ')}`,
  );
  expect(found).toEqual([]);
  const over = await page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  );
  expect(over, `${screen}: wider than the window, in pixels`).toBeLessThanOrEqual(0);
}

async function openDemonstration(page: Page): Promise<void> {
  await page.goto('/');
  await page.locator('main button.act').click();
  await expect(page.locator('article h1')).toBeVisible();
}

for (const [light, language] of [
  ['day', 'en'],
  ['night', 'es'],
] as const) {
  test(`no screen breaks WCAG 2.2 AA by ${light} in ${language}`, async ({ page }) => {
    await wear(page, light, language);
    for (const path of [
      '/',
      '/jobs',
      '/jobs/new?checklist=range-door-lock',
      '/checklists',
      '/checklists/bench-grinder',
      '/verify',
      '/about/marks',
    ]) {
      await page.goto(path);
      await expect(page.locator('h1')).toBeVisible();
      await isSound(page, path);
    }
    await openDemonstration(page);
    await isSound(page, 'a job');
    for (const key of [0, 1, 2]) {
      await page.locator('nav button').nth(key).click();
      await expect(page.getByRole('dialog')).toBeVisible();
      await isSound(page, `panel ${key}`);
      await page.keyboard.press('Escape');
      await expect(page.getByRole('dialog')).toHaveCount(0);
    }
    await page.locator('nav a').click();
    await expect(page.locator('h1')).toBeVisible();
    await isSound(page, 'the whole sheet');
  });
}

for (const [name, width, zoom] of [
  ['320 px wide', 320, 1],
  ['200 % text', 360, 2],
] as const) {
  test(`nothing is lost at ${name}`, async ({ page }) => {
    await page.setViewportSize({ width, height: 640 });
    await wear(page, 'day', 'es');
    await page.addInitScript((times) => {
      addEventListener('DOMContentLoaded', () => {
        document.documentElement.style.fontSize = `${times * 100}%`;
      });
    }, zoom);
    for (const path of [
      '/',
      '/jobs',
      '/jobs/new?checklist=range-door-lock',
      '/checklists',
      '/checklists/bench-grinder',
      '/verify',
      '/about/marks',
    ]) {
      await page.goto(path);
      await expect(page.locator('h1')).toBeVisible();
      await isSound(page, path);
    }
    await openDemonstration(page);
    await isSound(page, 'a job');
  });
}

test('by keyboard alone: a step held, a figure typed, tools put down and taken up again', async ({
  page,
}) => {
  await wear(page, 'day', 'en');
  await page.goto('/');
  await page.getByRole('button', { name: 'Try the demonstration job' }).press('Enter');
  const hand = new JobHand(page);
  await hand.holdKey(/Everybody here has been told/u);
  await hand.at(step('scene').say);
  await hand.holdKey(step('scene').states ?? '');
  await hand.at(step('supply').say);
  const display = page.locator('input[inputmode="none"]');
  for (const figure of ['119.8', '119.6', '0.4']) {
    await display.focus();
    await page.keyboard.type(figure);
    await page.keyboard.press('Enter');
  }
  await hand.holdKey('Write them down');
  await hand.at(step('case').say);

  await page.getByRole('button', { name: 'Down tools' }).press('Enter');
  await page.getByRole('button', { name: 'Something is not right' }).press('Enter');
  await hand.at('Tools are down');
  await page.getByRole('button', { name: /^I do: what stopped us is gone/u }).press('Enter');
  await hand.holdKey('Work starts again');
  // The order goes on where it was; the briefing has lapsed and stands open again on the sheet.
  await hand.at(step('case').say);
  await page.getByRole('link', { name: 'Whole sheet' }).press('Enter');
  const told = page.getByRole('button', { name: step('told').say });
  await expect(told).toContainText('to do again');
});

test('who cannot hold activates twice, and a single tap states nothing', async ({ page }) => {
  await wear(page, 'day', 'en');
  await openDemonstration(page);
  const statement = page.getByRole('button', { name: /Everybody here has been told/u });
  await statement.click();
  await expect(page.locator('article h1')).toHaveText(step('told').say);
  // As a screen reader does it: an activation with neither a finger nor a key.
  await statement.evaluate((button) => (button as HTMLButtonElement).click());
  await expect(statement).toContainText('once more to confirm');
  await statement.evaluate((button) => (button as HTMLButtonElement).click());
  await expect(page.locator('article h1')).toHaveText(step('scene').say);
});
