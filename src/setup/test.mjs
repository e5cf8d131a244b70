// `npm test`: the checks, then every question of tests/ asked in Node, then the built app in a
// browser; at the end one line with the sums. A failed check counts as one failed test.
import { mkdtempSync, readFileSync, rmSync, chmodSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { findBrowser } from './browser.mjs';
import { ensureBuilt } from './build.mjs';
import { check } from './check.mjs';
import { runTool } from './run.mjs';
import { say } from './say.mjs';

/** @typedef {{ passed: number, failed: number, skipped: number }} Sum */

// Killed browsers and databases leave folders behind; here they all go in one that is removed.
const scratch = mkdtempSync(join(tmpdir(), 'stillwire-test-'));
// A database server under an account of its own must be able to enter.
chmodSync(scratch, 0o755);
process.env.TMPDIR = scratch;

try {
  process.exitCode = await main();
} finally {
  rmSync(scratch, { recursive: true, force: true, maxRetries: 3 });
}

async function main() {
  const browser = await findBrowser();
  if (browser !== null) process.env.CHROMIUM_PATH = browser;

  heading('Checks');
  const failedChecks = await check();

  heading('Tests in Node');
  const inNode = await vitest();

  heading('Tests in the browser');
  const inBrowser = await playwright();

  const total = [inNode, inBrowser].reduce(add);
  if (failedChecks.length > 0) say(`\nFailed checks: ${failedChecks.join(', ')}.`);
  const failed = total.failed + failedChecks.length;
  const skipped = total.skipped > 0 ? `, ${total.skipped} skipped` : '';
  console.log(`\n${total.passed} passed, ${failed} failed${skipped}`);
  return failed === 0 && total.passed > 0 ? 0 : 1;
}

/** @returns {Promise<Sum>} */
async function vitest() {
  const file = join(scratch, 'vitest.json');
  const { status } = await runTool('vitest', [
    'run',
    '--reporter=default',
    '--reporter=json',
    `--outputFile.json=${file}`,
  ]);
  const report = read(file);
  return settle(status, {
    passed: report?.numPassedTests ?? 0,
    failed: report?.numFailedTests ?? 0,
    skipped: (report?.numPendingTests ?? 0) + (report?.numTodoTests ?? 0),
  });
}

/** @returns {Promise<Sum>} */
async function playwright() {
  await ensureBuilt();
  const file = join(scratch, 'playwright.json');
  const { status } = await runTool(
    'playwright',
    ['test', '-c', 'tests/playwright.config.ts', '--reporter=list,json'],
    { env: { PLAYWRIGHT_JSON_OUTPUT_NAME: file } },
  );
  const stats = read(file)?.stats;
  return settle(status, {
    passed: stats?.expected ?? 0,
    failed: (stats?.unexpected ?? 0) + (stats?.flaky ?? 0),
    skipped: stats?.skipped ?? 0,
  });
}

/** A runner that fell over without a failed test still failed. @param {number} status @param {Sum} sum */
function settle(status, sum) {
  return status !== 0 && sum.failed === 0 ? { ...sum, failed: 1 } : sum;
}

/** @param {Sum} a @param {Sum} b @returns {Sum} */
function add(a, b) {
  return {
    passed: a.passed + b.passed,
    failed: a.failed + b.failed,
    skipped: a.skipped + b.skipped,
  };
}

/** @param {string} file */
function read(file) {
  try {
    return JSON.parse(readFileSync(file, 'utf8'));
  } catch {
    return null;
  }
}

/** @param {string} text */
function heading(text) {
  say(`\n${text}`);
}
