/** Pages of the office until they can be used: a quarter of this processor, scripts kept from a visit before. */
import { chromium } from '@playwright/test';
import type { BrowserContext } from '@playwright/test';
import { findBrowser } from '../../src/setup/browser.mjs';

const SLOWER = 4;

/** In the page, before anything of it: notes when the page is drawn, which is when it can be used. */
function watch(): void {
  const observer = new MutationObserver(() => {
    if (document.querySelector('main h1') === null) return;
    performance.mark('usable');
    observer.disconnect();
  });
  observer.observe(document, { subtree: true, childList: true });
}

/** Milliseconds from the tap on an address until its page is drawn and the next tap is answered. */
async function once(context: BrowserContext, url: string): Promise<number> {
  const page = await context.newPage();
  const tools = await context.newCDPSession(page);
  await tools.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
  await page.addInitScript(watch);
  const answer = await page.goto(url, { waitUntil: 'commit' });
  // The drawing of a long page goes on after its heading is there: only then is a tap answered.
  const ms = await page.waitForFunction(() => {
    if (performance.getEntriesByName('usable')[0] === undefined) return undefined;
    return performance.now();
  });
  const value = await ms.jsonValue();
  // A page of which nothing is to be told is short; a sign-in or an error is another page.
  const heading = await page.locator('main h1').first().innerText();
  if (value === undefined || heading === '' || answer?.status() !== 200 || page.url() !== url)
    throw new Error(`${url} was not drawn: ${page.url()}, ${answer?.status()}, “${heading}”.`);
  await page.close();
  return value;
}

/** @returns by name the median of `rounds` visits, ms; null where no browser is found */
export async function usableAfter(
  url: string,
  cookie: string,
  pages: readonly (readonly [string, string])[],
  rounds: number,
): Promise<Record<string, number> | null> {
  const executablePath = await findBrowser();
  if (executablePath === null) return null;
  const chromiumSandbox = process.getuid?.() !== 0;
  const args = ['--disable-gpu', '--no-first-run'];
  const browser = await chromium.launch({ executablePath, chromiumSandbox, args });
  try {
    const context = await browser.newContext({ viewport: { width: 360, height: 740 } });
    const [name = '', value = ''] = cookie.split('=');
    await context.addCookies([{ name, value, url }]);
    const found: Record<string, number> = {};
    for (const [called, path] of pages) {
      const all: number[] = [];
      for (let round = 0; round <= rounds; round += 1) {
        const ms = await once(context, url + path);
        if (round > 0) all.push(ms);
      }
      found[called] = Math.round(all.sort((a, b) => a - b)[Math.floor(all.length / 2)] ?? 0);
    }
    return found;
  } finally {
    await browser.close();
  }
}
