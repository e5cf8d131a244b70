// Finds a browser for the tests: the one CHROMIUM_PATH names, the system's, the test library's own,
// else Debian's package (as root), else the test library's download.
import { spawnSync } from 'node:child_process';
import { accessSync, constants, existsSync, readFileSync } from 'node:fs';
import { delimiter, join } from 'node:path';
import { root } from './run.mjs';
import { say } from './say.mjs';

const names = ['chromium', 'chromium-browser', 'google-chrome-stable', 'google-chrome', 'chrome'];
const usualPlaces = {
  darwin: ['/Applications/Google Chrome.app/Contents/MacOS/Google Chrome'],
  win32: ['C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe'],
};

/** @returns {Promise<string | null>} the path of a browser; null with a sentence said */
export async function findBrowser() {
  const named = process.env.CHROMIUM_PATH;
  if (named) {
    if (runnable(named)) return named;
    say(`CHROMIUM_PATH is "${named}", which cannot be run; looking elsewhere.`);
  }
  const present = onPath() ?? (await ofLibrary());
  if (present !== null) return present;
  if (debianAsRoot()) {
    say("Installing Debian's Chromium for the tests (once; about a minute) …");
    const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
    quietly('apt-get', ['update', '-qq'], env);
    quietly('apt-get', ['install', '-y', '-qq', '--no-install-recommends', 'chromium'], env);
    const installed = onPath();
    if (installed !== null) return installed;
  }
  say("Fetching the test library's browser (once) …");
  const cli = join(root, 'node_modules', '@playwright', 'test', 'cli.js');
  quietly(process.execPath, [cli, 'install', 'chromium'], process.env);
  const fetched = await ofLibrary();
  if (fetched === null)
    say(
      'No browser was found for the tests. Install Chromium or Chrome, or set CHROMIUM_PATH to one, and run npm test again.',
    );
  return fetched;
}

/** @returns {string | null} */
function onPath() {
  const folders = (process.env.PATH ?? '').split(delimiter).filter(Boolean);
  const ending = process.platform === 'win32' ? '.exe' : '';
  const candidates = folders.flatMap((folder) => names.map((name) => join(folder, name + ending)));
  return [...candidates, ...(usualPlaces[process.platform] ?? [])].find(runnable) ?? null;
}

/** @returns {Promise<string | null>} */
async function ofLibrary() {
  const { chromium } = await import('@playwright/test');
  const path = chromium.executablePath();
  return path && existsSync(path) ? path : null;
}

/** Ubuntu's package of that name only points to another installer. */
function debianAsRoot() {
  if (process.getuid?.() !== 0) return false;
  try {
    return /^ID=debian$/m.test(readFileSync('/etc/os-release', 'utf8'));
  } catch {
    return false;
  }
}

/** @param {string} command @param {string[]} args @param {NodeJS.ProcessEnv} env */
function quietly(command, args, env) {
  const { status } = spawnSync(command, args, { env, stdio: ['ignore', 'ignore', 2] });
  if (status !== 0) say(`"${command} ${args.join(' ')}" did not work.`);
}

/** @param {string} path */
function runnable(path) {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}
