/**
 * `npm run bench` (all) or `npm run bench -- seal fold`: each beside a peer or a limit in the same run.
 * Prints what was found, JSON with `--json`, the table of the README with `--table`; `--rounds` says how often
 * each pair is taken. A row checks what it comes to before it is timed. Several benches run one after the other,
 * each in a process of its own, so that none has the memory of another. `--before REF` runs them on the sources
 * of that commit as well, turn by turn, and prints both.
 */
import { spawnSync } from 'node:child_process';
import { cpus } from 'node:os';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { compare } from './before.ts';
import { inWords, tableOf } from './table.ts';
import type { Row, Skipped } from './paired.ts';

interface Named {
  readonly takes: string;
  run(rounds: number): Promise<readonly (Row | Skipped)[]>;
}

const BENCHES: Readonly<Record<string, Named>> = {
  decide: {
    takes: 'some seconds',
    run: async (rounds) => (await import('./decide.ts')).bench(rounds),
  },
  explore: {
    takes: 'about two minutes',
    run: async (rounds) => (await import('./explore.ts')).bench(rounds),
  },
  seal: { takes: 'some seconds', run: async (rounds) => (await import('./seal.ts')).bench(rounds) },
  verify: {
    takes: 'some minutes, and a thousand megabytes of disk',
    run: async (rounds) => (await import('./verify.ts')).bench(rounds),
  },
  fold: {
    takes: 'half a minute',
    run: async (rounds) => (await import('./fold.ts')).bench(rounds),
  },
  store: {
    takes: 'about a minute, in a browser',
    run: async (rounds) => (await import('./store.ts')).bench(rounds),
  },
  ingest: {
    takes: 'some minutes',
    run: async () => (await import('./scripts.ts')).ingestRows(),
  },
  audit: {
    takes: 'some minutes, and seven thousand megabytes of disk',
    run: async () => (await import('./scripts.ts')).auditRows(),
  },
  office: {
    takes: 'more than half an hour, and seven thousand megabytes of disk',
    run: async () => (await import('./scripts.ts')).officeRows(),
  },
  load: {
    takes: 'some minutes, in a browser',
    run: async (rounds) => (await import('./load.ts')).bench(rounds),
  },
};

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    json: { type: 'boolean', default: false },
    table: { type: 'boolean', default: false },
    rounds: { type: 'string', default: '9' },
    before: { type: 'string' },
    turns: { type: 'string', default: '5' },
  },
});
const chosen = positionals.length > 0 ? positionals : Object.keys(BENCHES);
const unknown = chosen.filter((name) => !Object.hasOwn(BENCHES, name));
if (unknown.length > 0) {
  const known = Object.keys(BENCHES).join(', ');
  process.stderr.write(`There is no bench ${unknown.join(', ')}; there are: ${known}.\n`);
  process.exit(2);
}

if (values.before !== undefined) {
  for (const name of chosen)
    for (const line of compare(name, values.before, Number(values.turns)))
      process.stdout.write(`${line}\n`);
  process.exit();
}

interface Said {
  readonly benches: Readonly<Record<string, readonly (Row | Skipped)[]>>;
}

/** The rows of one bench, from a process of its own. */
function apart(name: string): readonly (Row | Skipped)[] {
  const args = ['--expose-gc', fileURLToPath(import.meta.url), name, '--json'];
  const { stdout, status } = spawnSync(process.execPath, [...args, '--rounds', values.rounds], {
    maxBuffer: 1e9,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  if (status !== 0) throw new Error(`The bench ${name} came to no end.`);
  return (JSON.parse(stdout.toString()) as Said).benches[name] ?? [];
}

const benches: Record<string, readonly (Row | Skipped)[]> = {};
for (const name of chosen) {
  const bench = BENCHES[name];
  if (bench === undefined) continue;
  if (chosen.length === 1) {
    process.stderr.write(`${name} (${bench.takes}) …\n`);
    benches[name] = await bench.run(Number(values.rounds));
  } else benches[name] = apart(name);
  if (values.json || values.table) continue;
  for (const row of benches[name] ?? []) process.stdout.write(`${inWords(row)}\n`);
}
const machine = `${cpus().length} × ${cpus()[0]?.model ?? ''}, Node ${process.version}`;
if (values.json) process.stdout.write(`${JSON.stringify({ machine, benches }, null, 2)}\n`);
else if (values.table)
  process.stdout.write(`${tableOf(Object.values(benches).flat())}\n${machine}\n`);
else process.stdout.write(`${machine}\n`);
