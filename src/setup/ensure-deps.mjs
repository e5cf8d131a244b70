// Makes node_modules hold exactly what the lockfile names, and does nothing when it already does.
// Runs before `npm start` and `npm test` under whatever Node the machine has.
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { giveUp, say } from './say.mjs';

const root = fileURLToPath(new URL('../..', import.meta.url));
const leastNode = 20;
const tries = 3;

/** @returns {boolean} whether every package of the lockfile is there, in its version */
export function depsAreThere() {
  const wanted = packages(join(root, 'package-lock.json'));
  const found = packages(join(root, 'node_modules', '.package-lock.json'));
  if (wanted === null || found === null) return false;
  const linked = ['node', 'stillwire'].every((name) => commandExists(name));
  return (
    linked &&
    Object.entries(wanted).every(([path, entry]) => {
      if (path === '' || entry.optional || entry.peer) return true;
      return found[path]?.version === entry.version && existsSync(join(root, path, 'package.json'));
    })
  );
}

export function ensureDeps() {
  const major = Number(process.versions.node.split('.')[0]);
  if (major < leastNode)
    giveUp(
      `Stillwire needs Node ${leastNode} or later to set itself up; this is ${process.version}. Install a newer Node and try again.`,
    );
  if (depsAreThere()) return;
  say('Installing the packages that the lockfile names (once; about half a minute) …');
  for (let attempt = 1; attempt <= tries; attempt += 1) {
    const { status } = spawnSync('npm', ['ci', '--loglevel=error'], {
      cwd: root,
      // The installer's talk would end up in the output of the command that a person asked for.
      stdio: ['ignore', 2, 2],
      shell: process.platform === 'win32',
    });
    if (status === 0) return;
    if (attempt < tries) say(`That did not work; trying again (${attempt + 1} of ${tries}) …`);
  }
  giveUp(
    'The packages could not be installed. Is the network there? Nothing else was changed; run the same command again.',
  );
}

/** @param {string} file */
function packages(file) {
  try {
    return JSON.parse(readFileSync(file, 'utf8')).packages;
  } catch {
    return null;
  }
}

/** @param {string} name */
function commandExists(name) {
  const place = join(root, 'node_modules', '.bin', name);
  return existsSync(place) || existsSync(`${place}.cmd`);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) ensureDeps();
