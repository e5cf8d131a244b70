#!/usr/bin/env node
// Starts the command line under a Node that reads TypeScript, whatever Node called it. Plain
// JavaScript, because the Node of the machine may be too old for more.
import { spawnSync } from 'node:child_process';
import { existsSync, realpathSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { projectNode } from '../setup/link-bins.mjs';

const root = fileURLToPath(new URL('../..', import.meta.url));
const readsTypeScript = 26;

if (!existsSync(`${root}/node_modules/.package-lock.json`)) {
  const { ensureDeps } = await import('../setup/ensure-deps.mjs');
  ensureDeps();
}

const own = projectNode();
if (Number(process.versions.node.split('.')[0]) >= readsTypeScript) {
  const { run } = await import('./main.ts');
  process.exitCode = await run(process.argv.slice(2));
} else if (own !== null && realpathSync(own) !== realpathSync(process.execPath)) {
  const { status } = spawnSync(own, [fileURLToPath(import.meta.url), ...process.argv.slice(2)], {
    stdio: 'inherit',
  });
  process.exitCode = status ?? 2;
} else {
  process.stderr.write(
    `Stillwire needs Node ${readsTypeScript} or later here, and this is ${process.version}; the one that comes with the project does not run on this machine.\n`,
  );
  process.exitCode = 2;
}
