// The rooms of the device in a real browser: what an in-process stand-in cannot show.
import { expect, test } from '@playwright/test';
import type { BrowserContext, Page } from '@playwright/test';
import { readFile } from 'node:fs/promises';
import { serveDevicePage } from '../support/device-page.ts';
import { signatureCases } from '../support/ed25519-cases.ts';
import type { DevicePage } from '../support/device-page.ts';

let pages: DevicePage;
let checklist: string;
test.beforeAll(async () => {
  pages = await serveDevicePage();
  checklist = await readFile(
    new URL('../support/checklists/bench-lamp.yaml', import.meta.url),
    'utf8',
  );
});
test.afterAll(() => pages.stop());

async function tab(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  await page.goto(pages.url);
  await page.waitForFunction(() => 'bench' in window);
  return page;
}

/** In the page: begins a job and keeps its session on the window of the test page. */
async function begin(given: string): Promise<string> {
  const device = await window.bench.openDevice();
  const mara = { id: 'mara', name: 'Mara Quill', competence: ['electrical'] };
  await device.enrol(mara, 'mara');
  const started = await device.startJob({
    checklist: given,
    by: 'mara',
    order: { command: 'open', site: 'Bench 4', people: [mara], instruments: [] },
  });
  if (!started.ok) throw new Error(JSON.stringify(started));
  window.session = started.session;
  return started.session.job;
}

/** In the page: takes a job up, and tells who writes it and how long that took to know. */
async function takeUp(job: string): Promise<{ writer: string; ms: number }> {
  const before = performance.now();
  const opened = await (await window.bench.openDevice()).openJob(job);
  if (!opened.ok) throw new Error(opened.trouble.says);
  window.session = opened.value;
  return { writer: opened.value.writer, ms: performance.now() - before };
}

/** In the page: one tap, and what came of it. */
async function tap(what: string): Promise<string> {
  const { accepted, trouble } = await window.session.submit({ command: 'nearMiss', what });
  return accepted ? 'accepted' : (trouble?.code ?? 'refused');
}

const count = () => window.session.entries.length;
const writer = () => window.session.writer;

test('a key that cannot be taken out signs on after a reload', async ({ context }) => {
  const page = await tab(context);
  const job = await page.evaluate(begin, checklist);
  const before = await page.evaluate(() => window.session.entries[0]?.sealed.entry.key);
  await page.reload();
  await page.waitForFunction(() => 'bench' in window);
  expect(await page.evaluate(takeUp, job)).toMatchObject({ writer: 'writing' });
  expect(await page.evaluate(tap, 'the bench rocked')).toBe('accepted');
  const after = await page.evaluate(() => window.session.entries.at(-1)?.sealed.entry.key);
  expect(after).toBe(before);
  const exported = await page.evaluate(takeKeyOut);
  expect(exported).toBe('InvalidAccessError');
});

/** In the page: tries to take the private half out of the database. */
async function takeKeyOut(): Promise<string> {
  const db = await new Promise<IDBDatabase>((resolve) => {
    const request = indexedDB.open('stillwire');
    request.onsuccess = () => resolve(request.result);
  });
  const rows = await new Promise<{ privateKey: CryptoKey }[]>((resolve) => {
    const request = db.transaction('keys').objectStore('keys').getAll();
    request.onsuccess = () => resolve(request.result as { privateKey: CryptoKey }[]);
  });
  db.close();
  const [row] = rows;
  if (row === undefined) return 'no key';
  return crypto.subtle.exportKey('pkcs8', row.privateKey).then(
    () => 'exported',
    (error: Error) => error.name,
  );
}

test('the browser accepts exactly the published signatures that are valid', async ({ context }) => {
  const page = await tab(context);
  const wrong = await page.evaluate(async (cases) => {
    const numbers: number[] = [];
    for (const { id, valid, key, message, signature } of cases)
      if ((await window.bench.signatureStands(key, message, signature)) !== valid) numbers.push(id);
    return numbers;
  }, signatureCases);
  expect(wrong).toEqual([]);
});

test('a second tab knows within two seconds, may take over, and gives the first its news', async ({
  context,
}) => {
  const first = await tab(context);
  const job = await first.evaluate(begin, checklist);
  const second = await tab(context);
  const seen = await second.evaluate(takeUp, job);
  expect(seen.writer).toBe('elsewhere');
  expect(seen.ms).toBeLessThan(2000);
  expect(await second.evaluate(tap, 'from the second')).toBe('elsewhere');

  await second.evaluate(() => window.session.takeOver());
  expect(await second.evaluate(tap, 'taken over')).toBe('accepted');
  await expect.poll(() => first.evaluate(writer)).toBe('takenOver');
  const grown = await second.evaluate(count);
  await expect.poll(() => first.evaluate(count)).toBe(grown);
  expect(await first.evaluate(tap, 'from the first')).toBe('elsewhere');
});

test('a frozen tab keeps its lock, and a second one can take it all the same', async ({
  context,
}) => {
  const first = await tab(context);
  const job = await first.evaluate(begin, checklist);
  const devtools = await context.newCDPSession(first);
  await devtools.send('Page.setWebLifecycleState', { state: 'frozen' });
  const second = await tab(context);
  const seen = await second.evaluate(takeUp, job);
  expect(seen.writer).toBe('elsewhere');
  expect(seen.ms).toBeLessThan(2000);
  await second.evaluate(() => window.session.takeOver());
  expect(await second.evaluate(tap, 'past the frozen one')).toBe('accepted');
  const stored = await second.evaluate(count);

  // Woken, the first tab finds that it no longer writes; the record stays one chain.
  await devtools.send('Page.setWebLifecycleState', { state: 'active' });
  await expect.poll(() => first.evaluate(count)).toBe(stored);
  expect(await first.evaluate(tap, 'woken')).toBe('elsewhere');
});

test('a tab that is gone frees its job, and the one that waits goes on', async ({ context }) => {
  const first = await tab(context);
  const job = await first.evaluate(begin, checklist);
  const second = await tab(context);
  expect(await second.evaluate(takeUp, job)).toMatchObject({ writer: 'elsewhere' });
  await first.close({ runBeforeUnload: false });
  await expect.poll(() => second.evaluate(writer)).toBe('writing');
  expect(await second.evaluate(tap, 'after it was gone')).toBe('accepted');
});

test('storage that was cleared behind its back is an alarm on the next visit', async ({
  context,
}) => {
  const page = await tab(context);
  await page.evaluate(begin, checklist);
  const devtools = await context.newCDPSession(page);
  await devtools.send('Storage.clearDataForOrigin', {
    origin: new URL(pages.url).origin,
    storageTypes: 'indexeddb,local_storage',
  });
  await page.reload();
  await page.waitForFunction(() => 'bench' in window);
  const met = await page.evaluate(async () => (await window.bench.openDevice()).acquaintance);
  expect(met.kind).toBe('emptied');
});

test('the browser is asked to keep the records, and its answer is told', async ({
  browser,
  context,
}) => {
  const page = await tab(context);
  const settle = async () => (await window.bench.openDevice()).settle();
  expect(await page.evaluate(settle)).toMatchObject({ promised: false });
  const devtools = await browser.newBrowserCDPSession();
  const { targetInfo } = await (await context.newCDPSession(page)).send('Target.getTargetInfo');
  await devtools.send('Browser.grantPermissions', {
    permissions: ['durableStorage'],
    origin: new URL(pages.url).origin,
    ...(targetInfo.browserContextId === undefined
      ? {}
      : { browserContextId: targetInfo.browserContextId }),
  });
  const asked = await page.evaluate(settle);
  expect(asked).toMatchObject({ promised: true });
  expect(asked.says).toMatch(/promised to keep/);
});
