import { expect } from '@playwright/test';
import type { Page } from '@playwright/test';
import { readFileSync } from 'node:fs';
import { checklistOf, checklistText } from '../support/checklist-texts.ts';
import { test } from '../support/quiet-page.ts';

test.setTimeout(240_000);

const catalogue = (language: string) =>
  JSON.parse(
    readFileSync(new URL(`../../src/lib/ui/words/${language}.json`, import.meta.url), 'utf8'),
  ) as Record<string, unknown>;
const [english, spanish] = [catalogue('en'), catalogue('es')];

/** Sentences of the English catalogue that are other in Spanish, without those that hold a place for a value. */
const SENTENCES = Object.entries(english).flatMap(([key, words]) =>
  typeof words === 'string' && words.length > 7 && !words.includes('{') && words !== spanish[key]
    ? [words]
    : [],
);
/** Words that English cannot do without, and Spanish does not have. */
const FUNCTION_WORDS =
  /\b(?:the|and|with|your|before|from|this|that|is|are|not|of|off|until|every|what|which|been|has|have|when|then|into|onto|it)\b/iu;

const range = checklistOf(checklistText('range-door-lock.yaml', 'shipped'));

/** Every text on the page that is seen or read aloud and is not marked as English. */
function textsOf(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const found: string[] = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
      const parent = node.parentElement;
      if (parent === null || parent.closest('[lang="en"], script, style') !== null) continue;
      const text = node.textContent?.trim() ?? '';
      if (text !== '' && parent.checkVisibility()) found.push(text);
    }
    for (const element of document.querySelectorAll('[aria-label], [placeholder], [title]')) {
      if (element.closest('[lang="en"]') !== null) continue;
      for (const name of ['aria-label', 'placeholder', 'title']) {
        const text = element.getAttribute(name);
        if (text !== null && text !== '') found.push(text);
      }
    }
    return found;
  });
}

async function nothingIsEnglish(page: Page, where: string): Promise<void> {
  const texts = await textsOf(page);
  expect(texts.length, where).toBeGreaterThan(3);
  const wrong = texts.filter(
    (text) => FUNCTION_WORDS.test(text) || SENTENCES.some((sentence) => text.includes(sentence)),
  );
  expect(wrong, where).toEqual([]);
}

test('one job on every screen in Spanish has nothing left in English', async ({ page }) => {
  await page.addInitScript(() => localStorage.setItem('stillwire.language', 'es'));
  await page.goto('/');
  await expect(page.locator('h1')).toBeVisible();
  await nothingIsEnglish(page, 'the first page');

  await page.goto('/jobs/new?checklist=range-door-lock');
  await expect(page.locator('h1')).toBeVisible();
  await nothingIsEnglish(page, 'the start of a job');

  await page.goto('/');
  await page.locator('main button.act').click();
  await expect(page.locator('article h1')).toBeVisible();
  for (const key of [0, 1, 2]) {
    await page.locator('nav button').nth(key).click();
    await expect(page.getByRole('dialog')).toBeVisible();
    await nothingIsEnglish(page, `panel ${key}`);
    await page.keyboard.press('Escape');
    await expect(page.getByRole('dialog')).toHaveCount(0);
  }
  await page.locator('nav a').click();
  const steps = page.locator('section').first().getByRole('button');
  await expect(steps.first()).toBeVisible();
  await nothingIsEnglish(page, 'the whole sheet');

  let cited = 0;
  const count = await steps.count();
  expect(count).toBeGreaterThanOrEqual(range.steps.length);
  for (const [at, { id }] of range.steps.entries()) {
    await steps.nth(at).click();
    await expect(page.locator('article h1')).toBeVisible();
    await nothingIsEnglish(page, `step ${id}`);
    cited += await page.locator('article .cited[lang="en"]').count();
    await page.locator('nav a').click();
    await expect(steps.first()).toBeVisible();
  }
  // A publication is cited by its own name, which says of itself that it is English.
  expect(cited).toBeGreaterThan(3);
});

test('the lists and the editor too, but for the file and what is wrong with it', async ({
  page,
}) => {
  await page.addInitScript(() => localStorage.setItem('stillwire.language', 'es'));
  await page.goto('/checklists');
  await expect(page.locator('h1')).toBeVisible();
  await nothingIsEnglish(page, 'the lists');
});
