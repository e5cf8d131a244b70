// Trusted Types, tried from inside the page; the complaints on the console are the point here.
import { expect, test } from '@playwright/test';

test('no page turns text into markup, or runs a worker from elsewhere', async ({ page }) => {
  for (const path of ['/', '/jobs', '/verify', '/office/sign-in']) {
    await page.goto(path);
    await expect(page.locator('h1')).toBeVisible();
    const refused = await page.evaluate(() => {
      const tried = [
        () => (document.body.innerHTML = '<b>x</b>'),
        () => document.body.insertAdjacentHTML('beforeend', '<b>x</b>'),
        () => (document.createElement('script').text = '1'),
        () => new Worker('https://elsewhere.example/x.js'),
      ];
      return tried.map((each) => {
        try {
          each();
          return 'done';
        } catch (error) {
          return (error as Error).name;
        }
      });
    });
    expect(refused, path).toEqual(['TypeError', 'TypeError', 'TypeError', 'TypeError']);
  }
});
