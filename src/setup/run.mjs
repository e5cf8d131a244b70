// Runs the project's tools under the project's Node.
import { spawn } from 'node:child_process';
import { delimiter, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { projectNode } from './link-bins.mjs';

export const root = fileURLToPath(new URL('../..', import.meta.url));
const bin = join(root, 'node_modules', '.bin');

/** The Node that came with the project, else the one that runs this. */
export const node = projectNode() ?? process.execPath;

/**
 * @param {string} tool the name of a command of an installed package
 * @param {string[]} args
 * @param {{ env?: Record<string, string>, quiet?: boolean }} [how] quiet: keep its output instead of showing it
 * @returns {Promise<{ status: number, output: string }>}
 */
export function runTool(tool, args, { env = {}, quiet = false } = {}) {
  const path = `${bin}${delimiter}${process.env.PATH ?? ''}`;
  const windows = process.platform === 'win32';
  return new Promise((done) => {
    const child = spawn(windows ? `${tool}.cmd` : join(bin, tool), args, {
      cwd: root,
      env: { ...process.env, PATH: path, ...env },
      stdio: quiet ? ['ignore', 'pipe', 'pipe'] : ['ignore', 'inherit', 'inherit'],
      shell: windows,
    });
    let output = '';
    child.stdout?.on('data', (chunk) => (output += chunk));
    child.stderr?.on('data', (chunk) => (output += chunk));
    child.on('error', (error) =>
      done({ status: 1, output: `${output}${tool}: ${error.message}\n` }),
    );
    child.on('close', (status) => done({ status: status ?? 1, output }));
  });
}
