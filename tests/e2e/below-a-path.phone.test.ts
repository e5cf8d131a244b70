// The app behind a proxy that hands on one path and nothing beside it: another build, another first page.
import { expect } from '@playwright/test';
import { createServer, request as ask } from 'node:http';
import type { Server } from 'node:http';
import { ensureBuilt } from '../../src/setup/build.mjs';
import { startApp } from '../support/app-server.ts';
import type { AppServer } from '../support/app-server.ts';
import { freePort } from '../support/free-port.ts';
import { officeBegun } from '../support/office-hand.ts';
import { test } from '../support/quiet-page.ts';

const PATH = '/crew/records';

let server: AppServer;
let proxy: Server;
let outside: string;

test.beforeAll(async () => {
  test.setTimeout(240_000);
  const before = process.env['STILLWIRE_PATH'];
  process.env['STILLWIRE_PATH'] = PATH;
  const folder = await ensureBuilt();
  const [port, proxyPort] = [await freePort(), await freePort()];
  outside = `http://localhost:${proxyPort}`;
  server = await startApp({ PORT: String(port), ORIGIN: outside, STILLWIRE_PATH: PATH }, folder);
  if (before === undefined) delete process.env['STILLWIRE_PATH'];
  else process.env['STILLWIRE_PATH'] = before;
  proxy = createServer((incoming, answer) => {
    const { url = '/', method = 'GET', headers } = incoming;
    // Whatever forgets the path is answered by another program of this host.
    if (url !== PATH && !url.startsWith(`${PATH}/`)) {
      answer.writeHead(418).end('Not this program.');
      return;
    }
    const onward = ask({ host: '127.0.0.1', port, path: url, method, headers }, (reply) => {
      answer.writeHead(reply.statusCode ?? 502, reply.headers);
      reply.pipe(answer);
    });
    onward.on('error', () => answer.writeHead(502).end());
    incoming.pipe(onward);
  }).listen(proxyPort, '127.0.0.1');
});
test.afterAll(async () => {
  proxy.closeAllConnections();
  proxy.close();
  await server.stop();
});

test('app, worker, endpoints and office all stay below it', async ({ page, context }) => {
  test.setTimeout(90_000);
  expect(server.url).toContain(PATH);
  const strays: string[] = [];
  page.on('response', (response) => {
    if (response.status() === 418) strays.push(response.url());
  });
  const root = `${outside}${PATH}`;
  for (const place of ['healthz', 'readyz', 'tiles/checkpoint', 'api/log'])
    expect((await page.request.get(`${root}/${place}`)).status(), place).toBe(200);

  const { code } = await officeBegun(page, root, server.said(), 'mara Mara Quill');
  await page.goto(`${root}/sending#let-in=${code}`);
  await page.getByRole('button', { name: 'Let the office have the records' }).click();
  await expect(page.getByText('All with the office').first()).toBeVisible();
  await expect(page.getByText(root)).toBeVisible();

  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  await context.setOffline(true);
  await page.goto(`${root}/`);
  await page.getByRole('button', { name: 'Try the demonstration job' }).click();
  await expect(page).toHaveURL(new RegExp(`${PATH}/jobs/[0-9a-f-]{36}$`, 'u'));
  await page.reload();
  await page.getByRole('link', { name: 'Whole sheet' }).click();
  await expect(page).toHaveURL(/\/sheet$/u);
  await page.goto(`${root}/jobs`);
  await page.getByRole('link', { name: 'Stillwire' }).click();
  await expect(page).toHaveURL(`${root}/`);
  await context.setOffline(false);

  const manifest = await page.evaluate(async () => {
    const link = document.querySelector<HTMLLinkElement>('link[rel=manifest]');
    const address = link?.href ?? '';
    const read = (await (await fetch(address)).json()) as Record<string, string>;
    return ['start_url', 'scope'].map((name) => new URL(read[name] ?? '', address).pathname);
  });
  expect(manifest).toEqual([`${PATH}/`, `${PATH}/`]);
  expect(strays).toEqual([]);
});
