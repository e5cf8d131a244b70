import { defineConfig, devices } from '@playwright/test';
import { findBrowser } from '../src/setup/browser.mjs';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { freePort } from './support/free-port.ts';

// Set once, in the first process; the workers inherit them.
process.env.STILLWIRE_TEST_PORT ??= String(await freePort());
process.env.STILLWIRE_DATA ??= mkdtempSync(join(tmpdir(), 'stillwire-data-'));
process.env.CHROMIUM_PATH ??= (await findBrowser()) ?? '';
const url = `http://localhost:${process.env.STILLWIRE_TEST_PORT}`;
const asRoot = process.getuid?.() === 0;
const executablePath = process.env.CHROMIUM_PATH;

export default defineConfig({
  testDir: './e2e',
  outputDir: '../test-results',
  fullyParallel: true,
  forbidOnly: true,
  retries: 0,
  workers: 2,
  // A busy machine is no failure; a test that hangs still ends.
  timeout: 90_000,
  expect: { timeout: 15_000 },
  use: {
    baseURL: url,
    screenshot: 'only-on-failure',
    // A trace of every action costs as much as the action: it is taken when asked for.
    trace: process.env.STILLWIRE_TRACE === undefined ? 'off' : 'retain-on-failure',
    launchOptions: {
      executablePath,
      chromiumSandbox: !asRoot,
      args: [
        '--disable-gpu',
        '--disable-quic',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
        '--no-first-run',
      ],
    },
  },
  projects: [
    {
      name: 'phone',
      use: { ...devices['Pixel 7'], viewport: { width: 360, height: 740 } },
      testIgnore: '**/*.desktop.test.ts',
    },
    {
      name: 'desktop',
      use: { ...devices['Desktop Chrome'], viewport: { width: 1280, height: 800 } },
      testIgnore: '**/*.phone.test.ts',
    },
  ],
  webServer: {
    command: `"${process.execPath}" ../src/setup/start.mjs`,
    url: `${url}/healthz`,
    env: { PORT: process.env.STILLWIRE_TEST_PORT, HOST: '127.0.0.1' },
    timeout: 120_000,
    gracefulShutdown: { signal: 'SIGTERM', timeout: 5000 },
  },
});
