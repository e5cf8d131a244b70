// `npm run check`: everything that can be known without running the program. Names on the command
// line choose some of it: `npm run check -- lint types`.
import { runTool } from './run.mjs';
import { say } from './say.mjs';
import { ensureWords } from './words.mjs';

/** Two at a time; the slow ones first. */
const checks = [
  {
    name: 'lint',
    tool: 'eslint',
    args: ['-c', 'src/setup/eslint.config.mjs', '--max-warnings', '0', '.'],
  },
  {
    name: 'types',
    tool: 'svelte-check',
    args: ['--tsconfig', './tsconfig.json', '--fail-on-warnings'],
  },
  { name: 'format', tool: 'prettier', args: ['--check', '--cache', '--log-level', 'warn', '.'] },
  { name: 'core-types', tool: 'tsc', args: ['-p', 'src/lib/core', '--noEmit'] },
  { name: 'worker-types', tool: 'tsc', args: ['-p', 'src/service-worker', '--noEmit'] },
  { name: 'dead-code', tool: 'knip', args: ['-c', 'src/setup/knip.json', '--no-progress'] },
];
const lanes = 2;

/** @param {string[]} names all when empty @returns {Promise<string[]>} the names that failed */
export async function check(names = []) {
  const unknown = names.filter((name) => !checks.some((one) => one.name === name));
  if (unknown.length > 0) {
    say(
      `There is no check "${unknown[0]}"; there are: ${checks.map((one) => one.name).join(', ')}.`,
    );
    return unknown;
  }
  // Writes the framework's types, which the lint and the types rest on.
  const synced = await runTool('svelte-kit', ['sync'], { quiet: true });
  if (synced.status !== 0) say(synced.output);
  ensureWords();
  const queue = checks.filter((one) => names.length === 0 || names.includes(one.name));
  /** @type {string[]} */
  const failed = synced.status === 0 ? [] : ['sync'];
  const lane = async () => {
    for (let one = queue.shift(); one !== undefined; one = queue.shift()) {
      const began = performance.now();
      const { status, output } = await runTool(one.tool, one.args, { quiet: true });
      const seconds = ((performance.now() - began) / 1000).toFixed(1);
      if (status === 0) say(`  holds   ${one.name} (${seconds} s)`);
      else {
        failed.push(one.name);
        say(`\n${output.trimEnd()}\n  FAILED  ${one.name} (${seconds} s)`);
      }
    }
  };
  await Promise.all(Array.from({ length: lanes }, lane));
  return failed;
}

if (import.meta.main ?? process.argv[1]?.endsWith('check.mjs')) {
  const failed = await check(process.argv.slice(2));
  process.exitCode = failed.length === 0 ? 0 : 1;
}
