// Builds the app when its sources have changed since the last build. Each build has a folder of its
// own, named after its sources, so a server that is still running an older one is not disturbed.
import {
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { fingerprint } from './fingerprint.mjs';
import { root, runTool } from './run.mjs';
import { giveUp, say } from './say.mjs';

const builds = join(root, 'build');
const kept = 3;

/** @returns {Promise<string>} the folder of a complete build of the present sources */
export async function ensureBuilt() {
  const name = fingerprint().slice(0, 16);
  const folder = join(builds, name);
  if (existsSync(folder)) return folder;
  mkdirSync(builds, { recursive: true });
  const release = await takeTurn();
  try {
    if (existsSync(folder)) return folder;
    say('Building the app (only after a change; some seconds) …');
    const half = join(builds, `${name}.half`);
    const env = { BUILD_VERSION: name, BUILD_OUT: `build/${name}.half`, NODE_ENV: 'production' };
    const { status, output } = await runTool('vite', ['build', '--logLevel', 'warn'], {
      env,
      quiet: true,
    });
    if (status !== 0)
      giveUp(`${output}\nThe app could not be built; what the builder said is above.`);
    renameSync(half, folder);
    forgetOld();
    return folder;
  } finally {
    release();
  }
}

/** Two builders at once would write over each other's half-made files. */
async function takeTurn() {
  const turn = join(builds, 'turn');
  for (;;) {
    try {
      writeFileSync(turn, String(process.pid), { flag: 'wx' });
      return () => rmSync(turn, { force: true });
    } catch (error) {
      if (error.code !== 'EEXIST') throw error;
      if (!holderLives(turn)) rmSync(turn, { force: true });
      else await new Promise((again) => setTimeout(again, 300));
    }
  }
}

/** @param {string} turn */
function holderLives(turn) {
  try {
    process.kill(Number(readFileSync(turn, 'utf8')), 0);
    return true;
  } catch (error) {
    return error.code === 'EPERM';
  }
}

function forgetOld() {
  const folders = readdirSync(builds)
    .map((name) => join(builds, name))
    .filter((path) => statSync(path).isDirectory())
    .sort((a, b) => statSync(b).mtimeMs - statSync(a).mtimeMs);
  for (const old of folders.slice(kept)) rmSync(old, { recursive: true, force: true });
}

if (process.argv[1] === fileURLToPath(import.meta.url)) say(`Built: ${await ensureBuilt()}`);
