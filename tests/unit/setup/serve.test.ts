import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { startApp } from '../../support/app-server.ts';

// The server around a build, with a build that only answers what it was asked by.
const folder = mkdtempSync(join(tmpdir(), 'stillwire-serve-'));
writeFileSync(
  join(folder, 'handler.js'),
  `export const handler = (request, response) =>
     response.end(request.headers[process.env.PROTOCOL_HEADER] + ' ' + process.pid);`,
);
writeFileSync(join(folder, 'package.json'), '{"type":"module"}');
afterAll(() => rmSync(folder, { recursive: true }));

const isAlive = (pid: number) => {
  try {
    return process.kill(pid, 0);
  } catch {
    return false;
  }
};

describe('the server', () => {
  test('says its headers with every answer, and takes nobody for https', async () => {
    const server = await startApp({}, folder);
    const response = await fetch(server.url, { headers: { 'X-Forwarded-Proto': 'https' } });
    expect(await response.text()).toMatch(/^http \d+$/);
    expect(response.headers.get('X-Content-Type-Options')).toBe('nosniff');
    expect(response.headers.get('Content-Security-Policy')).toBe("frame-ancestors 'none'");
    await server.stop();
  });

  test('believes a proxy that was announced', async () => {
    const server = await startApp({ TRUST_PROXY: '1' }, folder);
    const response = await fetch(server.url, { headers: { 'X-Forwarded-Proto': 'https' } });
    expect(await response.text()).toMatch(/^https /);
    await server.stop();
  });

  test('names a port that is taken, and how to choose another', async () => {
    const first = await startApp({}, folder);
    const port = new URL(first.url).port;
    await expect(startApp({ PORT: port }, folder)).rejects.toThrow(
      `Port ${port} is taken by another program. Choose another: PORT=${Number(port) + 1} npm start`,
    );
    await first.stop();
  });

  test.each(['http', '70000', '-1', '80.5'])('refuses PORT=%s with a sentence', async (port) => {
    await expect(startApp({ PORT: port }, folder)).rejects.toThrow(
      `PORT is "${port}", which is no port.`,
    );
  });

  test('ends when the program that started it is gone', async () => {
    const serve = new URL('../../../src/setup/serve.mjs', import.meta.url).href;
    const grandchild = `import(${JSON.stringify(serve)}).then((it) => it.serve(${JSON.stringify(folder)}))`;
    const parent: ChildProcess = spawn(
      process.execPath,
      [
        '-e',
        `require('node:child_process').spawn(process.execPath, ['-e', ${JSON.stringify(grandchild)}], { stdio: 'inherit' })`,
      ],
      { env: { ...process.env, PORT: '0' }, stdio: ['ignore', 'pipe', 'ignore'] },
    );
    const [chunk] = (await once(parent.stdout!, 'data')) as [Buffer];
    const url = /http:\/\/\S+/.exec(String(chunk))?.[0];
    const pid = Number((await (await fetch(url!)).text()).split(' ')[1]);
    expect(isAlive(pid)).toBe(true);
    parent.kill('SIGKILL');
    await expect.poll(() => isAlive(pid), { timeout: 30_000 }).toBe(false);
  });
});
