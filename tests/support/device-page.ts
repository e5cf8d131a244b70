// Bundles the page of ./device-page once for a test file and serves it on this computer.
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { existsSync } from 'node:fs';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { createServer } from 'node:http';
import { tmpdir } from 'node:os';
import { extname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';
import { root, runTool } from '../../src/setup/run.mjs';
import { ensureWords } from '../../src/setup/words.mjs';

export interface DevicePage {
  readonly url: string;
  stop(): Promise<void>;
}

const KINDS: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
};

/** In a fresh clone nothing has written yet what the framework and the catalogues are compiled to. */
async function ensureWritten(): Promise<void> {
  ensureWords();
  if (existsSync(join(root, '.svelte-kit/tsconfig.json'))) return;
  const { status, output } = await runTool('svelte-kit', ['sync'], { quiet: true });
  if (status !== 0) throw new Error(`The framework could not write its types. ${output}`);
}

export async function serveDevicePage(): Promise<DevicePage> {
  await ensureWritten();
  const folder = await mkdtemp(join(tmpdir(), 'device-page-'));
  await build({
    configFile: false,
    root: fileURLToPath(new URL('./device-page', import.meta.url)),
    logLevel: 'error',
    plugins: [svelte({ configFile: false, compilerOptions: { runes: true } })],
    build: { outDir: folder, emptyOutDir: true, target: 'esnext', minify: false },
  });
  const server = createServer((request, response) => {
    const path = (request.url ?? '/').replace(/^\/$/, '/index.html').replace(/[?#].*$/, '');
    readFile(join(folder, path)).then(
      (bytes) => response.setHeader('content-type', KINDS[extname(path)] ?? '').end(bytes),
      () => response.writeHead(404).end(),
    );
  });
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  const address = server.address();
  if (address === null || typeof address === 'string') throw new Error('The server has no port.');
  return {
    url: `http://127.0.0.1:${address.port}/`,
    stop: async () => {
      server.closeAllConnections();
      await new Promise((closed) => server.close(closed));
      await rm(folder, { recursive: true, force: true });
    },
  };
}
