// Runs a TypeScript file of the project under the project's Node: `node src/setup/run-ts.mjs FILE …`.
import { spawnSync } from 'node:child_process';
import { node, root } from './run.mjs';

const { status } = spawnSync(node, process.argv.slice(2), { cwd: root, stdio: 'inherit' });
process.exitCode = status ?? 1;
