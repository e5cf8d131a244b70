/**
 * `npm run bench` (all) or `npm run bench -- seal fold`: each beside a peer or a limit in the same run.
 * Prints a table, and JSON with `--json`. A row checks what it comes to before it is timed.
 */
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { cpus } from 'node:os';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import type { Row } from './paired.ts';

interface Named {
  readonly takes: string;
  run(rounds: number): Promise<readonly object[]>;
}

const inProcess = (file: string, takes: string): Named => ({
  takes,
  run: async (rounds) => {
    const made = (await import(new URL(file, import.meta.url).href)) as {
      bench(rounds: number): Promise<Row[]>;
    };
    return made.bench(rounds);
  },
});

/** A script of its own that prints JSON. */
const script = (file: string, takes: string, ...args: readonly string[]): Named => ({
  takes,
  run: () => {
    const path = fileURLToPath(new URL(file, import.meta.url));
    if (!existsSync(path)) throw new Error(`${file} is not there.`);
    const { stdout, status, stderr } = spawnSync(process.execPath, ['--expose-gc', path, ...args], {
      maxBuffer: 1e9,
    });
    if (status !== 0) throw new Error(stderr.toString());
    return Promise.resolve([JSON.parse(stdout.toString()) as object]);
  },
});

const BENCHES: Readonly<Record<string, Named>> = {
  decide: inProcess('decide.ts', 'some seconds'),
  seal: inProcess('seal.ts', 'some seconds'),
  fold: inProcess('fold.ts', 'some seconds'),
  ingest: script('ingest.ts', 'about a minute'),
  audit: script('audit.ts', 'some minutes'),
};

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    json: { type: 'boolean', default: false },
    rounds: { type: 'string', default: '9' },
  },
});
const chosen = positionals.length > 0 ? positionals : Object.keys(BENCHES);
const unknown = chosen.filter((name) => !Object.hasOwn(BENCHES, name));
if (unknown.length > 0) {
  const known = Object.keys(BENCHES).join(', ');
  process.stderr.write(`There is no bench ${unknown.join(', ')}; there are: ${known}.\n`);
  process.exit(2);
}

const said: Record<string, readonly object[]> = {};
for (const name of chosen) {
  const bench = BENCHES[name];
  if (bench === undefined) continue;
  process.stderr.write(`${name} (${bench.takes}) …\n`);
  said[name] = await bench.run(Number(values.rounds));
  if (!values.json) for (const row of said[name]) process.stdout.write(`${tell(name, row)}\n`);
}
const machine = { processor: cpus()[0]?.model ?? '', cores: cpus().length, node: process.version };
if (values.json) process.stdout.write(`${JSON.stringify({ machine, benches: said }, null, 2)}\n`);
else process.stdout.write(`${machine.cores} × ${machine.processor}, Node ${machine.node}\n`);

function tell(name: string, row: object): string {
  if (!('ratios' in row)) return `${name}: ${JSON.stringify(row)}`;
  const { name: title, ratios, ways, unit, megabytes, says } = row as Row;
  const lines = ratios.map(
    ({ to, ratio, goal, met }) => `  ${ratio} × ${to} (${goal}: ${met ? 'met' : 'missed'})`,
  );
  const rates = Object.entries(ways).map(
    ([way, { perSecond, spread }]) =>
      `${way} ${perSecond} ${unit}/s ± ${Math.round(spread * 100)} %`,
  );
  return [`${title}: ${says}`, ...lines, `  ${rates.join(', ')}; ${megabytes} MB`].join('\n');
}
