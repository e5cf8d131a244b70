/**
 * The list of jobs until it can be used, cold and from the installed app, beside the smallest app of the
 * same framework under the same throttle: a slow phone (a quarter of this processor) on a slow network.
 */
import { chromium } from '@playwright/test';
import type { Browser, BrowserContext, Page } from '@playwright/test';
import { findBrowser } from '../../src/setup/browser.mjs';
import { startApp } from '../support/app-server.ts';
import { startEmptyApp } from './empty-app.ts';
import { rowOf, withLimit } from './paired.ts';
import type { Row, Skipped } from './paired.ts';

/** "Slow 4G" of the browser's own tools: 562.5 ms there and back, 1.44 Mbit/s down, 675 kbit/s up. */
const SLOW_4G = {
  offline: false,
  latency: 562.5,
  downloadThroughput: 180_000,
  uploadThroughput: 84_375,
} as const;
const SLOWER = 4;
const MOST = { coldMs: 2500, installedMs: 500, scriptBytes: 60_000 };

interface Loaded {
  readonly seconds: number;
  /** Bytes of scripts as they came over the wire. */
  readonly scripts: number;
}

/** In the page, before anything of it: notes when the page can be used. */
function watch(reading: string): void {
  const look = (): void => {
    if (document.querySelector('main h1') === null) return;
    if (document.querySelector(reading) !== null) return;
    performance.mark('usable');
    observer.disconnect();
  };
  const observer = new MutationObserver(look);
  observer.observe(document, { subtree: true, childList: true });
}
/** While it stands there the list of jobs is not read yet. */
const READING = 'main > p[role=status]';

async function load(page: Page, url: string): Promise<Loaded> {
  const tools = await page.context().newCDPSession(page);
  await tools.send('Network.enable');
  await tools.send('Network.emulateNetworkConditions', SLOW_4G);
  await tools.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
  const scriptIds = new Set<string>();
  let scripts = 0;
  tools.on('Network.responseReceived', ({ requestId, type, response }) => {
    if (type === 'Script' && response.fromServiceWorker !== true) scriptIds.add(requestId);
  });
  tools.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
    if (scriptIds.has(requestId)) scripts += encodedDataLength;
  });
  await page.addInitScript(watch, READING);
  await page.goto(url, { waitUntil: 'commit' });
  const handle = await page.waitForFunction(
    () => performance.getEntriesByName('usable')[0]?.startTime,
  );
  const ms = await handle.jsonValue();
  const heading = await page.locator('main h1').textContent();
  if (ms === undefined || (heading ?? '').trim() === '') throw new Error(`${url} shows nothing.`);
  await page.close();
  return { seconds: ms / 1000, scripts };
}

async function inNew<T>(browser: Browser, work: (context: BrowserContext) => Promise<T>) {
  const context = await browser.newContext({ viewport: { width: 360, height: 740 } });
  try {
    return await work(context);
  } finally {
    await context.close();
  }
}

const cold = (browser: Browser, url: string): Promise<Loaded> =>
  inNew(browser, async (context) => load(await context.newPage(), url));

/** Opened once without a throttle until the worker keeps everything, then again in a new page. */
const installed = (browser: Browser, url: string): Promise<Loaded> =>
  inNew(browser, async (context) => {
    const first = await context.newPage();
    await first.goto(url);
    await first.waitForFunction(() => navigator.serviceWorker.controller !== null);
    await first.close();
    return load(await context.newPage(), url);
  });

export async function bench(rounds: number): Promise<(Row | Skipped)[]> {
  const executablePath = await findBrowser();
  if (executablePath === null) return [{ name: 'load', skipped: 'no browser was found here.' }];
  const [app, empty] = [await startApp(), await startEmptyApp()];
  const args = ['--disable-gpu', '--no-first-run'];
  const chromiumSandbox = process.getuid?.() !== 0;
  const browser = await chromium.launch({ executablePath, chromiumSandbox, args });
  try {
    const rows: Row[] = [];
    let scripts = 0;
    for (const [name, way, most, limit] of [
      ['load cold', cold, 1.8, MOST.coldMs],
      ['load installed', installed, 1.5, MOST.installedMs],
    ] as const) {
      const ours: number[] = [];
      const others: number[] = [];
      for (let round = 0; round <= Math.min(rounds, 7); round += 1) {
        const one = await way(browser, `${app.url}/jobs`);
        const other = await way(browser, `${empty.url}/`);
        if (round === 0) continue;
        if (way === cold) scripts = one.scripts;
        ours.push(one.seconds);
        others.push(other.seconds);
      }
      const seconds = new Map([
        ['job list', ours],
        ['empty app', others],
      ]);
      const says = 'the list of jobs until it can be used, slow 4G and a quarter of the processor';
      const row = rowOf({ name, says, units: 1, unit: 'loads' }, seconds, [
        { ours: 'job list', to: 'empty app', most },
      ]);
      rows.push(withLimit(row, name.slice(5), ours, limit));
    }
    const kilobytes = (scripts / 1000).toFixed(1);
    const size = {
      to: `60 KB of scripts, compressed (${kilobytes} KB)`,
      ratio: Number((scripts / MOST.scriptBytes).toPrecision(3)),
      spread: 0,
      goal: 'at most 60 KB',
      met: scripts > 0 && scripts <= MOST.scriptBytes,
    };
    return rows.map((row, at) => (at === 0 ? { ...row, ratios: [...row.ratios, size] } : row));
  } finally {
    await browser.close();
    await Promise.all([app.stop(), empty.stop()]);
  }
}
