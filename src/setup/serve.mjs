// Serves one build over HTTP: the security headers, an address that a person can open, a sentence
// when the port is taken, and an end when the program that started it is gone.
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createServer } from 'node:http';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { basePath } from './base-path.mjs';
import { policyOfPlainFiles, securityHeaders } from './headers.mjs';
import { giveUp, say } from './say.mjs';

const protocolHeader = 'x-stillwire-protocol';
const graceMs = 3000;

/** @param {string} folder a complete build */
export async function serve(folder) {
  const host = process.env.HOST || '127.0.0.1';
  const port = readPort(process.env.PORT);
  // Photos and records come in one request each.
  process.env.BODY_SIZE_LIMIT ??= '32M';
  // Without ORIGIN the framework would take every request for https and refuse plain forms.
  if (!process.env.ORIGIN) process.env.PROTOCOL_HEADER = protocolHeader;
  const { handler } = await import(pathToFileURL(join(folder, 'handler.js')).href);

  const server = createServer((request, response) => {
    request.headers[protocolHeader] = protocolOf(request);
    for (const [name, value] of Object.entries(securityHeaders)) response.setHeader(name, value);
    response.setHeader('Content-Security-Policy', policyOfPlainFiles);
    handler(request, response);
  });
  server.on('error', (error) => giveUp(whyNotListening(error, host, port)));
  server.listen(port, host, () => {
    const name = host === '127.0.0.1' || host === '::1' ? 'localhost' : host;
    console.log(`Stillwire is ready: http://${name}:${server.address().port}${basePath()}`);
    console.log('It serves this computer only, unless HOST says otherwise. Stop it with Ctrl+C.');
  });
  endWith(server);
}

/** Only a proxy that was announced may say that the outside is https. */
function protocolOf(request) {
  const forwarded = request.headers['x-forwarded-proto'];
  return process.env.TRUST_PROXY === '1' && forwarded === 'https' ? 'https' : 'http';
}

/** @param {string | undefined} text */
function readPort(text) {
  if (text === undefined || text === '') return 3000;
  const port = Number(text);
  if (Number.isInteger(port) && port >= 0 && port <= 65535) return port;
  return giveUp(`PORT is "${text}", which is no port. Use a whole number from 0 to 65535.`);
}

/** @param {NodeJS.ErrnoException} error @param {string} host @param {number} port */
function whyNotListening(error, host, port) {
  if (error.code === 'EADDRINUSE')
    return `Port ${port} is taken by another program. Choose another: PORT=${port + 1} npm start`;
  if (error.code === 'EACCES')
    return `Port ${port} may not be used by this account. Choose one above 1024: PORT=3000 npm start`;
  if (error.code === 'EADDRNOTAVAIL' || error.code === 'ENOTFOUND')
    return `HOST is "${host}", which is no address of this computer.`;
  return `The server could not start: ${error.message}`;
}

/** @param {import('node:http').Server} server */
function endWith(server) {
  let ending = false;
  const end = (reason) => {
    if (ending) return;
    ending = true;
    say('Stopping …');
    server.close(async () => {
      // Nothing is under way any more: what the app holds open may be closed, and is waited for.
      const closing = [];
      process.emit('stillwire:closing', closing);
      process.emit('sveltekit:shutdown', reason);
      await Promise.allSettled(closing);
      process.exit(0);
    });
    server.closeIdleConnections();
    setTimeout(() => process.exit(0), graceMs).unref();
  };
  process.once('SIGINT', () => end('SIGINT'));
  process.once('SIGTERM', () => end('SIGTERM'));
  // npm does not pass every signal on: without this a stopped `npm start` leaves a server behind.
  const parent = process.ppid;
  const beyond = process.env.npm_lifecycle_event === undefined ? null : parentOf(parent);
  const orphaned = () => process.ppid !== parent || (beyond !== null && !lives(beyond));
  setInterval(() => orphaned() && end('parent gone'), 500).unref();
}

/** npm starts a shell that starts us, and the shell outlives npm. @param {number} pid */
function parentOf(pid) {
  try {
    // After the name in brackets, which may hold anything: the state, then the parent.
    const after = readFileSync(`/proc/${pid}/stat`, 'utf8').replace(/^.*\) /s, '');
    return Number(after.split(' ')[1]);
  } catch {
    const { stdout } = spawnSync('ps', ['-o', 'ppid=', '-p', String(pid)], { encoding: 'utf8' });
    return Number(stdout) || null;
  }
}

/** @param {number} pid */
function lives(pid) {
  try {
    return process.kill(pid, 0);
  } catch (error) {
    return error.code === 'EPERM';
  }
}
