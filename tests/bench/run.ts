/**
 * `npm run bench` (all) or `npm run bench -- seal fold`: each beside a peer or a limit in the same run.
 * `asked.ts` says what may be asked for. A row checks what it comes to before it is timed. Several benches run one
 * after the other, each in a process of its own, so that none has the memory of another. `--before REF` runs them
 * on the sources of that commit as well, turn by turn, and prints both.
 */
import { spawnSync } from 'node:child_process';
import { cpus, loadavg } from 'node:os';
import { fileURLToPath } from 'node:url';
import { askedOf, BENCHES, HELP } from './asked.ts';
import type { Asked, BenchName } from './asked.ts';
import { compare, NoSuchCommit } from './before.ts';
import { inWords, tableOf } from './table.ts';
import type { Row, Skipped } from './paired.ts';

type Rows = readonly (Row | Skipped)[];

const RUNS: Readonly<Record<BenchName, (asked: Asked) => Promise<Rows>>> = {
  decide: async ({ rounds }) => (await import('./decide.ts')).bench(rounds),
  explore: async ({ rounds }) => (await import('./explore.ts')).bench(rounds),
  seal: async ({ rounds }) => (await import('./seal.ts')).bench(rounds),
  verify: async ({ rounds }) => (await import('./verify.ts')).bench(rounds),
  fold: async ({ rounds }) => (await import('./fold.ts')).bench(rounds),
  store: async ({ rounds }) => (await import('./store.ts')).bench(rounds),
  ingest: async () => (await import('./scripts.ts')).ingestRows(),
  audit: async () => (await import('./scripts.ts')).auditRows(),
  office: async ({ jobs }) => (await import('./scripts.ts')).officeRows(jobs),
  load: async ({ rounds }) => (await import('./load.ts')).bench(rounds),
};

function end(says: string): never {
  process.stderr.write(`${says}\n`);
  process.exit(2);
}

const answer = askedOf(process.argv.slice(2));
if (answer.kind === 'unusable') end(answer.says);
if (answer.kind === 'help') process.stdout.write(`${HELP}\n`);
else if (answer.asked.before === null) await take(answer.asked);
else compareAll(answer.asked, answer.asked.before);

function compareAll({ chosen, jobs }: Asked, { ref, turns }: NonNullable<Asked['before']>) {
  try {
    for (const name of chosen)
      for (const line of compare(name, ref, turns, jobs)) process.stdout.write(`${line}\n`);
  } catch (error) {
    if (error instanceof NoSuchCommit) end(error.message);
    throw error;
  }
}

interface Said {
  readonly benches: Readonly<Record<string, Rows>>;
}

/** The rows of one bench, from a process of its own. */
function apart(name: BenchName, { rounds, jobs }: Asked): Rows {
  const args = ['--expose-gc', fileURLToPath(import.meta.url), name, '--json'];
  const sizes = ['--rounds', String(rounds), '--jobs', String(jobs)];
  const { stdout, status } = spawnSync(process.execPath, [...args, ...sizes], {
    maxBuffer: 1e9,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  // The other rows are worth having; this one says that it is missing, and the command fails.
  if (status !== 0) {
    process.exitCode = 1;
    return [{ name, skipped: `it came to no end (exit status ${status}).` }];
  }
  return (JSON.parse(stdout.toString()) as Said).benches[name] ?? [];
}

function inSeconds(from: number): string {
  return `${Math.round((performance.now() - from) / 1000)} s`;
}

async function take(asked: Asked): Promise<void> {
  const { chosen, print } = asked;
  const benches: Record<string, Rows> = {};
  const began = performance.now();
  for (const name of chosen) {
    const from = performance.now();
    if (chosen.length === 1) {
      process.stderr.write(`${name} (${BENCHES[name].takes}) …\n`);
      benches[name] = await RUNS[name](asked);
      process.stderr.write(`${name}: ${inSeconds(from)}, load ${loadavg()[0]?.toFixed(1)}\n`);
    } else benches[name] = apart(name, asked);
    // Each row as soon as it is there: whoever stops a long run keeps those before.
    const rows = benches[name] ?? [];
    if (print === 'table') process.stdout.write(`${tableOf(rows, name !== chosen[0])}\n`);
    if (print === 'words') for (const row of rows) process.stdout.write(`${inWords(row)}\n`);
  }
  const machine = `${cpus().length} × ${cpus()[0]?.model ?? ''}, Node ${process.version}`;
  if (chosen.length > 1) process.stderr.write(`all: ${inSeconds(began)}\n`);
  if (print === 'json') process.stdout.write(`${JSON.stringify({ machine, benches }, null, 2)}\n`);
  else process.stdout.write(`${print === 'table' ? '\n' : ''}${machine}\n`);
}
