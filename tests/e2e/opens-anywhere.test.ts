import { expect } from '@playwright/test';
import { startApp } from '../support/app-server.ts';
import { test } from '../support/quiet-page.ts';

const installed = () =>
  navigator.serviceWorker.ready.then((registration) => registration.active?.state);

test('the first page opens, and says what the program is', async ({ page }) => {
  await page.goto('/');
  await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
  await expect(page).toHaveTitle(/Stillwire/);
});

test('every answer carries the security headers, a file and an error too', async ({ request }) => {
  for (const path of ['/', '/jobs', '/icon.svg', '/healthz', '/nowhere/at/all']) {
    const headers = (await request.get(path)).headers();
    expect(headers['x-content-type-options'], path).toBe('nosniff');
    expect(headers['content-security-policy'], path).toContain("frame-ancestors 'none'");
    expect(headers['referrer-policy'], path).toBe('same-origin');
  }
});

test('no page allows inline scripts or styles', async ({ request }) => {
  for (const path of ['/', '/jobs', '/jobs/some-job', '/verify']) {
    const response = await request.get(path);
    const policy = `${response.headers()['content-security-policy']} ${await response.text()}`;
    expect(policy, path).toContain("script-src 'self'");
    expect(policy, path).not.toContain("'unsafe-inline'");
    expect(policy, path).not.toContain("'unsafe-eval'");
  }
});

test('on the second visit it opens with the server killed, at every depth', async ({ browser }) => {
  const server = await startApp();
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.goto(server.url);
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  expect(await page.evaluate(installed)).toBe('activated');
  await server.stop('SIGKILL');

  for (const path of ['/', '/jobs', '/jobs/never-opened-before', '/verify']) {
    await page.goto(server.url + path);
    await expect(page.locator('h1'), path).toBeVisible();
  }
  await page.goto(`${server.url}/audit`);
  await expect(page.getByRole('heading', { level: 1 })).toContainText('needs the server');
  await context.close();
});

test('on the second visit it opens with the network off', async ({ page, context }) => {
  await page.goto('/');
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  await context.setOffline(true);
  await page.goto('/jobs');
  await expect(page.locator('h1')).toBeVisible();
});
