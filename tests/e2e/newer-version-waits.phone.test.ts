import { expect, type Page } from '@playwright/test';
import { cpSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import { ensureBuilt } from '../../src/setup/build.mjs';
import { startApp } from '../support/app-server.ts';
import { freePort } from '../support/free-port.ts';
import { test } from '../support/quiet-page.ts';

/** The same app under another name, as a change of one word in the sources would make it. */
function newerBuild(build: string): string {
  const newer = join(mkdtempSync(join(tmpdir(), 'stillwire-newer-')), 'build');
  cpSync(build, newer, { recursive: true });
  // The server half takes its packages from the folder around it.
  symlinkSync(resolve('node_modules'), join(dirname(newer), 'node_modules'));
  const worker = join(newer, 'client', 'service-worker.js');
  const text = readFileSync(worker, 'utf8');
  const changed = text.replaceAll(basename(build), 'newer-than-the-other');
  expect(changed).not.toBe(text);
  writeFileSync(worker, changed);
  for (const ending of ['.br', '.gz']) rmSync(worker + ending, { force: true });
  return newer;
}

const caches = (page: Page) => page.evaluate(() => globalThis.caches.keys());
const waits = () =>
  navigator.serviceWorker
    .getRegistration()
    .then((registration) => registration?.waiting?.state === 'installed');
const controlled = () => navigator.serviceWorker.controller !== null;

test('a newer version waits beside the running one until it is asked in', async ({ page }) => {
  const build = await ensureBuilt();
  const port = String(await freePort());
  const older = await startApp({ PORT: port }, build);
  await page.goto(older.url);
  await page.waitForFunction(controlled);
  await older.stop();

  const folder = newerBuild(build);
  const newer = await startApp({ PORT: port }, folder);
  await page.goto(`${newer.url}/jobs/some-job`);
  await page.evaluate(() => navigator.serviceWorker.getRegistration().then((it) => it?.update()));
  await expect.poll(() => page.evaluate(waits)).toBe(true);
  await page.reload();
  expect(await page.evaluate(waits), 'a reload does not let it in').toBe(true);
  await expect(page.getByRole('button', { name: 'Use it now' })).toBeHidden();

  await page.goto(newer.url);
  await page.getByRole('button', { name: 'Use it now' }).click();
  await expect(page.getByRole('button', { name: 'Use it now' })).toBeHidden();
  await page.waitForFunction(controlled);
  await expect.poll(() => page.evaluate(waits)).toBe(false);
  const kept = await caches(page);
  expect(kept).toContain('stillwire-app-newer-than-the-other');
  expect(kept, 'the one before stays for other tabs').toHaveLength(2);
  await newer.stop();
  rmSync(dirname(folder), { recursive: true });
});
