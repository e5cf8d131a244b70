/**
 * One bench on two states of the sources in the same run: those of this folder, and those that git holds under a
 * name. The older ones get a worktree in `.tmp`, with the packages and the benches of this folder, so that only
 * what is measured differs; the two take turns.
 */
import { spawnSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, rmSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Row, Skipped } from './paired.ts';

const here = fileURLToPath(new URL('../..', import.meta.url));
/** Of each pair within one turn; the turns are what the medians are taken of. */
const ROUNDS_A_TURN = '3';

type Rows = readonly (Row | Skipped)[];

/** There is nothing in git under the name that was given. */
export class NoSuchCommit extends Error {
  override readonly name = 'NoSuchCommit';
}

function git(...args: readonly string[]): string {
  const { status, stdout, stderr } = spawnSync('git', args, { cwd: here, encoding: 'utf8' });
  if (status !== 0) throw new Error(stderr.trim());
  return stdout.trim();
}

function commitOf(ref: string): string {
  try {
    // After the mark nothing is taken for an option of git.
    return git('rev-parse', '--verify', '--end-of-options', `${ref}^{commit}`);
  } catch {
    const says = `There is no commit ${ref} here, beside which anything could be measured. git log --oneline lists them.`;
    throw new NoSuchCommit(says);
  }
}

/** Calls `work` with the folder of the older sources, which is gone afterwards. */
function withBefore<T>(ref: string, work: (folder: string) => T): T {
  const commit = commitOf(ref);
  const folder = join(here, '.tmp', `before-${commit.slice(0, 12)}`);
  const remove = (): void => {
    rmSync(folder, { recursive: true, force: true });
    git('worktree', 'prune');
  };
  remove();
  mkdirSync(join(here, '.tmp'), { recursive: true });
  git('worktree', 'add', '--detach', folder, commit);
  try {
    symlinkSync(join(here, 'node_modules'), join(folder, 'node_modules'));
    // Written beside the sources by a build, not kept in git: the benches in a browser bundle by it.
    const written = '.svelte-kit/tsconfig.json';
    if (existsSync(join(here, written))) cpSync(join(here, written), join(folder, written));
    rmSync(join(folder, 'tests/bench'), { recursive: true, force: true });
    cpSync(join(here, 'tests/bench'), join(folder, 'tests/bench'), { recursive: true });
    return work(folder);
  } finally {
    remove();
  }
}

function rowsOf(folder: string, name: string, jobs: number): Rows {
  const sizes = ['--rounds', ROUNDS_A_TURN, '--jobs', String(jobs)];
  const args = ['--expose-gc', 'tests/bench/run.ts', name, '--json', ...sizes];
  const { stdout, status } = spawnSync(process.execPath, args, {
    cwd: folder,
    maxBuffer: 1e9,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  if (status !== 0) throw new Error(`The bench ${name} came to no end in ${folder}.`);
  const said = JSON.parse(stdout.toString()) as { benches: Readonly<Record<string, Rows>> };
  return said.benches[name] ?? [];
}

function medianOf(all: readonly number[]): number {
  const sorted = [...all].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? NaN;
}

/** Every figure of a run by its name: the ratios, and what each way does a second. */
export function figuresOf(rows: Rows): Map<string, number> {
  const found = new Map<string, number>();
  for (const row of rows) {
    if ('skipped' in row) continue;
    // What stands in brackets is itself measured, and differs from run to run.
    for (const { to, ratio } of row.ratios)
      found.set(`${row.name}: × ${to.replace(/ \(.*\)$/, '')}`, ratio);
    for (const [way, { perSecond }] of Object.entries(row.ways))
      if (perSecond > 1) found.set(`${row.name}: ${way}, ${row.unit}/s`, perSecond);
    found.set(`${row.name}: MB`, row.megabytes);
  }
  return found;
}

/** A line for each figure: before, after, and the second beside the first as the median of the turns. */
export function beforeAndAfter(turns: readonly { readonly before: Rows; readonly after: Rows }[]) {
  const pairs = turns.map(({ before, after }) => [figuresOf(before), figuresOf(after)] as const);
  const names = [...(pairs[0]?.[1].keys() ?? [])];
  const digits = (value: number): string => String(Number(value.toPrecision(3)));
  return names.map((name) => {
    const before = pairs.map(([each]) => each.get(name) ?? NaN);
    const after = pairs.map(([, each]) => each.get(name) ?? NaN);
    const times = medianOf(after.map((value, turn) => value / (before[turn] ?? NaN)));
    return `${name}: ${digits(medianOf(before))} before, ${digits(medianOf(after))} after (${digits(times)} ×)`;
  });
}

/**
 * @param turns how often each of the two is run
 * @param jobs in the store of the row `office`
 */
export function compare(name: string, ref: string, turns: number, jobs: number): readonly string[] {
  return withBefore(ref, (folder) => {
    const taken: { before: Rows; after: Rows }[] = [];
    for (let turn = 0; turn < turns; turn += 1) {
      process.stderr.write(`turn ${turn + 1} of ${turns}\n`);
      // Neither is always the one after the other.
      const first = turn % 2 === 0 ? rowsOf(folder, name, jobs) : undefined;
      const after = rowsOf(here, name, jobs);
      taken.push({ before: first ?? rowsOf(folder, name, jobs), after });
    }
    return beforeAndAfter(taken);
  });
}
