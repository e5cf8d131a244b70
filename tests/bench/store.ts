/**
 * A tap until it is stored, in the browser: decided, sealed, and appended in one strict transaction, beside
 * a bare strict put of as many bytes in another database of the same page; and how long a job of 2,000
 * entries takes to open.
 */
import { chromium } from '@playwright/test';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { findBrowser } from '../../src/setup/browser.mjs';
import { serveDevicePage } from '../support/device-page.ts';
import { rowOf, withLimit } from './paired.ts';
import type { Row, Skipped } from './paired.ts';

const TAPS = 200;
const ENTRIES = 2000;
const MOST_MS = { tap: 50, open: 150 };

interface Given {
  readonly checklist: string;
  readonly taps: number;
  readonly entries: number;
}

/** In the page: seconds of each tap and of each bare put, turn by turn; then the job grows. */
async function taps({ checklist, taps: count, entries }: Given) {
  const device = await window.bench.openDevice();
  const mara = { id: 'mara', name: 'Mara Quill', competence: ['electrical'] };
  await device.enrol(mara, 'mara');
  const started = await device.startJob({
    checklist,
    by: 'mara',
    order: { command: 'open', site: 'Bench 4', people: [mara], instruments: [] },
  });
  if (!started.ok) throw new Error(JSON.stringify(started));
  const { session } = started;
  const database = await new Promise<IDBDatabase>((opened, failed) => {
    const asked = indexedDB.open('bare', 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore('lines');
    asked.onsuccess = () => opened(asked.result);
    asked.onerror = () => failed(asked.error ?? new Error('not opened'));
  });
  const bytes = new Uint8Array(600).fill(7);
  const put = (at: number): Promise<void> =>
    new Promise((stored, failed) => {
      const tx = database.transaction('lines', 'readwrite', { durability: 'strict' });
      tx.objectStore('lines').put(bytes, at);
      tx.oncomplete = () => stored();
      tx.onabort = () => failed(tx.error ?? new Error('not stored'));
    });
  const tap = async (what: string): Promise<void> => {
    const { accepted } = await session.submit({ command: 'nearMiss', what });
    if (!accepted) throw new Error('The tap was not stored.');
  };
  const seconds: { tap: number[]; put: number[] } = { tap: [], put: [] };
  for (let at = 0; at < count + 20; at += 1) {
    const began = performance.now();
    await tap(`a slip ${at}`);
    const between = performance.now();
    await put(at);
    if (at < 20) continue;
    seconds.tap.push((between - began) / 1000);
    seconds.put.push((performance.now() - between) / 1000);
  }
  for (let at = session.entries.length; at < entries; at += 1) await tap(`more ${at}`);
  return { seconds, job: session.job, entries: session.entries.length };
}

/** In a new page: milliseconds until the job stands there, checked and folded. */
async function opening(job: string): Promise<{ ms: number; entries: number }> {
  const before = performance.now();
  const opened = await (await window.bench.openDevice()).openJob(job);
  if (!opened.ok) throw new Error(opened.trouble.says);
  return { ms: performance.now() - before, entries: opened.value.entries.length };
}

export async function bench(
  rounds: number,
  size = { taps: TAPS, entries: ENTRIES },
): Promise<(Row | Skipped)[]> {
  const executablePath = await findBrowser();
  if (executablePath === null) return [{ name: 'store', skipped: 'no browser was found here.' }];
  const pages = await serveDevicePage();
  const profile = mkdtempSync(join(tmpdir(), 'stillwire-bench-'));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath,
    chromiumSandbox: process.getuid?.() !== 0,
    args: ['--disable-gpu', '--no-first-run'],
  });
  try {
    const tab = async () => {
      const page = await context.newPage();
      await page.goto(pages.url);
      await page.waitForFunction(() => 'bench' in window);
      return page;
    };
    const lamp = new URL('../support/checklists/bench-lamp.yaml', import.meta.url);
    const first = await tab();
    const told = await first.evaluate(taps, { checklist: readFileSync(lamp, 'utf8'), ...size });
    if (told.entries < size.entries || told.seconds.tap.length !== size.taps)
      throw new Error('Not every tap was stored.');
    await first.close();
    const opened: number[] = [];
    for (let round = 0; round < rounds; round += 1) {
      const page = await tab();
      const { ms, entries } = await page.evaluate(opening, told.job);
      if (entries !== told.entries) throw new Error('The job opened with other entries.');
      opened.push(ms / 1000);
      await page.close();
    }
    const store = rowOf(
      {
        name: 'store',
        says: 'a tap decided, sealed and stored in the browser',
        units: 1,
        unit: 'taps',
      },
      new Map([
        ['tap', told.seconds.tap],
        ['bare strict put', told.seconds.put],
      ]),
      [{ ours: 'tap', to: 'bare strict put', most: 2.5 }],
    );
    const open = rowOf(
      {
        name: 'open a job',
        says: `a job of ${told.entries} entries opened in a new page`,
        units: told.entries,
        unit: 'entries',
      },
      new Map([['open', opened]]),
      [],
    );
    return [
      withLimit(store, 'tap', told.seconds.tap, MOST_MS.tap),
      withLimit(open, 'open', opened, MOST_MS.open),
    ];
  } finally {
    await context.close();
    await pages.stop();
    rmSync(profile, { recursive: true, force: true, maxRetries: 3 });
  }
}
