// The built server on a port of its own, met by clients that mean harm: raw bytes on a socket, no browser.
import { expect, test } from '@playwright/test';
import { readFile } from 'node:fs/promises';
import { connect } from 'node:net';
import type { Socket } from 'node:net';
import { gzipSync } from 'node:zlib';
import { startApp } from '../support/app-server.ts';
import type { AppServer } from '../support/app-server.ts';

let server: AppServer;
let port: number;
test.describe.configure({ mode: 'serial' });
test.beforeAll(async () => {
  server = await startApp({ STILLWIRE_LOG_LEVEL: 'info' });
  port = Number(new URL(server.url).port);
});
test.afterAll(() => server.stop());

/** Sends bytes as they stand and answers what came back until the other end closes, or `ms` have passed. */
function raw(bytes: string | Buffer, ms = 3000): Promise<string> {
  return new Promise((resolve) => {
    let said = '';
    const socket = connect(port, '127.0.0.1', () => socket.write(bytes));
    const over = () => {
      clearTimeout(timer);
      socket.destroy();
      resolve(said);
    };
    const timer = setTimeout(over, ms);
    socket.on('data', (chunk) => (said += chunk.toString('latin1')));
    socket.on('close', over).on('error', over);
  });
}

const statusOf = (answer: string): number => Number(/^HTTP\/1\.1 (\d{3})/.exec(answer)?.[1] ?? 0);
const request = (line: string, headers: readonly string[] = [], body = ''): string =>
  [line, `Host: 127.0.0.1:${port}`, 'Connection: close', ...headers, '', body].join('\r\n');

/** Resident memory of the server in bytes (Linux). */
async function memory(): Promise<number> {
  const status = await readFile(`/proc/${server.pid}/status`, 'utf8');
  return Number(/^VmRSS:\s+(\d+) kB/m.exec(status)?.[1] ?? 0) * 1024;
}

const stillServes = async (): Promise<void> => {
  const before = performance.now();
  expect((await fetch(`${server.url}/healthz`)).status).toBe(200);
  expect(performance.now() - before).toBeLessThan(5000);
};

test('paths that climb, hide or lead away are answered with nothing of ours', async () => {
  const paths = [
    '/../../etc/passwd',
    '/%2e%2e/%2e%2e/%2e%2e/etc/passwd',
    '/..%2f..%2f..%2fetc%2fpasswd',
    '/..%5c..%5cwindows%5cwin.ini',
    '/_app/../../package.json',
    '/_app/%2e%2e/%2e%2e/package.json',
    '//evil.example/',
    '/%00',
    '/jobs/%00',
    '/%ff%fe',
    '/%',
    `/${'a'.repeat(8000)}`,
    '/api/photos/..%2f..%2fx',
    '/api/photos/CON',
    `/api/photos/${'f'.repeat(63)}%00`,
    `/tiles/tile/0/${'9'.repeat(400)}`,
    '/share/..%2f..%2f',
  ];
  for (const path of paths) {
    const answer = await raw(request(`GET ${path} HTTP/1.1`));
    const status = statusOf(answer);
    expect(answer, path).not.toMatch(/root:|"devDependencies"|\[fonts\]/);
    expect(status, path).toBeGreaterThanOrEqual(200);
    expect(status, path).toBeLessThan(500);
    expect(/^location: .*evil/im.test(answer), path).toBe(false);
  }
  await stillServes();
});

test('requests that are no requests are refused, and a lying host leads nowhere', async () => {
  const cases: readonly (readonly [string, string])[] = [
    [
      'two lengths',
      request('POST /api/entries HTTP/1.1', ['Content-Length: 1', 'Content-Length: 2'], 'x'),
    ],
    [
      'length and chunks at once',
      request(
        'POST /api/entries HTTP/1.1',
        ['Content-Length: 4', 'Transfer-Encoding: chunked'],
        '0\r\n\r\n',
      ),
    ],
    ['a method of nobody', request('STEAL / HTTP/1.1')],
    ['a header without end', request('GET / HTTP/1.1', [`X: ${'a'.repeat(100_000)}`])],
    ['a header that folds', request('GET / HTTP/1.1', ['X: a\r\n b'])],
    ['bytes of nothing', Buffer.from([0, 1, 2, 255, 254, 13, 10, 13, 10]).toString('latin1')],
  ];
  for (const [what, bytes] of cases) {
    const status = statusOf(await raw(bytes));
    expect(status, what).toBeGreaterThanOrEqual(400);
    expect(status, what).toBeLessThan(500);
  }
  const lied = await raw(
    ['GET /office HTTP/1.1', 'Host: evil.example', 'Connection: close', '', ''].join('\r\n'),
  );
  expect(lied).not.toMatch(/^location: https?:\/\/evil/im);
  await stillServes();
});

test('other sites cannot post for a person who is signed in here', async () => {
  const form = 'name=a&password=b';
  const as = (origin: string, kind: string) =>
    raw(
      request(
        'POST /office/sign-in HTTP/1.1',
        [`Origin: ${origin}`, `Content-Type: ${kind}`, `Content-Length: ${form.length}`],
        form,
      ),
    );
  for (const kind of ['application/x-www-form-urlencoded', 'text/plain', 'multipart/form-data']) {
    const status = statusOf(await as('https://evil.example', kind));
    expect(status, kind).toBeGreaterThanOrEqual(400);
    expect(status, kind).toBeLessThan(500);
  }
  const plain = await raw(
    request(
      'POST /api/entries HTTP/1.1',
      ['Origin: https://evil.example', 'Content-Type: text/plain', 'Content-Length: 2'],
      '{}',
    ),
  );
  expect(statusOf(plain)).toBeGreaterThanOrEqual(400);
  expect(statusOf(plain)).toBeLessThan(500);
});

test('a body without end is cut off, and costs no memory to speak of', async () => {
  const before = await memory();
  for (const path of ['/api/entries', '/api/keys', '/office/sign-in']) {
    const sent = await new Promise<{ mebibytes: number; said: string }>((resolve) => {
      let said = '';
      let mebibytes = 0;
      let open = true;
      const chunk = Buffer.concat([
        Buffer.from('100000\r\n'),
        Buffer.alloc(0x100000, 0x61),
        Buffer.from('\r\n'),
      ]);
      const socket = connect(port, '127.0.0.1');
      const over = () => {
        open = false;
        socket.destroy();
        resolve({ mebibytes, said });
      };
      socket.on('data', (bytes) => (said += bytes.toString('latin1')));
      socket.on('close', over).on('error', over);
      socket.write(
        request(`POST ${path} HTTP/1.1`, [
          'Transfer-Encoding: chunked',
          'Content-Type: application/x-ndjson',
          `Origin: ${server.url}`,
        ]),
      );
      const pump = () => {
        // Answered is enough: whatever is still sent is thrown away.
        if (!open || statusOf(said) >= 400) return over();
        if (mebibytes >= 1024) return over();
        mebibytes += 1;
        if (socket.write(chunk)) setImmediate(pump);
        else socket.once('drain', pump);
      };
      pump();
    });
    expect(sent.mebibytes, path).toBeLessThan(1024);
    if (sent.said !== '') expect(statusOf(sent.said), path).toBeLessThan(500);
  }
  expect((await memory()) - before).toBeLessThan(200 * 1024 * 1024);
  await stillServes();
});

test('a packed bomb is not unpacked', async () => {
  const bomb = gzipSync(Buffer.alloc(50 * 1024 * 1024));
  const answer = await fetch(`${server.url}/api/entries`, {
    method: 'POST',
    headers: { 'content-encoding': 'gzip', 'content-type': 'application/x-ndjson' },
    body: bomb,
  });
  expect(answer.status).toBeGreaterThanOrEqual(400);
  expect(answer.status).toBeLessThan(500);
});

test('a hundred senders that drip a byte at a time keep nobody else waiting', async () => {
  const sockets: Socket[] = [];
  for (let at = 0; at < 100; at += 1) {
    const socket = connect(port, '127.0.0.1');
    socket.on('error', () => {});
    socket.write(
      request('POST /api/entries HTTP/1.1', [
        'Content-Length: 100000',
        'Content-Type: application/x-ndjson',
      ]),
    );
    sockets.push(socket);
  }
  const drip = setInterval(
    () => sockets.forEach((socket) => socket.writable && socket.write('a')),
    200,
  );
  try {
    for (let round = 0; round < 5; round += 1) await stillServes();
  } finally {
    clearInterval(drip);
    sockets.forEach((socket) => socket.destroy());
  }
});

test('what strangers send makes no line of its own in the log, and no fault', async () => {
  await raw(
    request('GET /%0a{"level":"fatal","forged":true}%0a HTTP/1.1', [
      'User-Agent: a\tb {"forged":true}',
    ]),
  );
  await stillServes();
  const lines = server.said().split('\n').filter(Boolean);
  expect(lines.filter((line) => line.startsWith('{"level":"fatal"'))).toEqual([]);
  expect(lines.filter((line) => /"level":(?:"error"|50|60)|Unhandled|at async/.test(line))).toEqual(
    [],
  );
});
