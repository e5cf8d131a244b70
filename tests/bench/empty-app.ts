/** The smallest app of the framework, built in a temporary folder with the project's own packages. */
import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { freePort } from '../support/free-port.ts';

const FILES: Readonly<Record<string, string>> = {
  'package.json': '{ "name": "empty", "private": true, "type": "module" }',
  'vite.config.js': [
    "import { sveltekit } from '@sveltejs/kit/vite';",
    'export default { plugins: [sveltekit()] };',
  ].join('\n'),
  'svelte.config.js': [
    "import adapter from '@sveltejs/adapter-node';",
    "export default { kit: { adapter: adapter({ out: 'out', precompress: true }) } };",
  ].join('\n'),
  'src/app.html': [
    '<!doctype html><html lang="en"><head><meta charset="utf-8" />',
    '<meta name="viewport" content="width=device-width" /><link rel="icon" href="data:," />',
    '%sveltekit.head%</head><body><div>%sveltekit.body%</div></body></html>',
  ].join('\n'),
  'src/routes/+layout.js': 'export const prerender = true; export const ssr = false;',
  'src/routes/+page.svelte':
    '<script>let ready = $state(false); $effect(() => { ready = true; });</script>\n{#if ready}<main><h1>Here</h1></main>{/if}',
  'src/service-worker.js': [
    "import { build, files, prerendered } from '$service-worker';",
    'const kept = [...build, ...files, ...prerendered];',
    "self.addEventListener('install', (event) =>",
    "  event.waitUntil(caches.open('empty').then((cache) => cache.addAll(kept))));",
    "self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));",
    "self.addEventListener('fetch', (event) =>",
    '  event.respondWith(caches.match(event.request).then((held) => held ?? fetch(event.request))));',
  ].join('\n'),
};

export interface EmptyApp {
  readonly url: string;
  stop(): Promise<void>;
}

export async function startEmptyApp(): Promise<EmptyApp> {
  const folder = mkdtempSync(join(tmpdir(), 'stillwire-empty-app-'));
  for (const [path, text] of Object.entries(FILES)) {
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    writeFileSync(join(folder, path), text);
  }
  const packages = new URL('../../node_modules', import.meta.url).pathname;
  symlinkSync(packages, join(folder, 'node_modules'));
  const vite = join(packages, 'vite/bin/vite.js');
  const env = { ...process.env, NODE_ENV: 'production' };
  const options = { cwd: folder, env, encoding: 'utf8' } as const;
  const built = spawnSync(process.execPath, [vite, 'build', '--logLevel', 'error'], options);
  if (built.status !== 0) throw new Error(`The empty app was not built.\n${built.stderr}`);
  const port = String(await freePort());
  const child = spawn(process.execPath, ['out/index.js'], {
    cwd: folder,
    env: { ...env, PORT: port, HOST: '127.0.0.1' },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const gone = once(child, 'exit');
  await once(child.stdout, 'data');
  return {
    url: `http://127.0.0.1:${port}`,
    stop: async () => {
      child.kill();
      await gone;
      rmSync(folder, { recursive: true, force: true, maxRetries: 3 });
    },
  };
}
