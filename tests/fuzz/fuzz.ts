/**
 * The long run: `npm run fuzz -- [PARSER…] [--seconds N] [--seed N]`. Guided by coverage: an input that
 * makes the program count a block of code that no earlier one reached joins the pool that the next are
 * made from. Ends with 1 and the input in Base 64 when a parser threw or took longer than it may.
 */
import { Session } from 'node:inspector/promises';
import { parseArgs } from 'node:util';
import { seeded } from '../support/seeded.ts';
import { mutated } from './mutate.ts';
import { PARSERS } from './parsers.ts';
import type { Parser } from './parsers.ts';

/** Longest that a parser may take over one input of up to 64 KiB, in ms. */
const SLOW = 1000;
/** Inputs between two looks at the coverage, which cost about a millisecond each. */
const BETWEEN_LOOKS = 8;

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    seconds: { type: 'string', default: '60' },
    seed: { type: 'string', default: '1' },
  },
});
const chosen = PARSERS.filter(({ name }) => positionals.length === 0 || positionals.includes(name));
if (chosen.length === 0) {
  process.stderr.write(
    `There is no parser of that name; there are: ${PARSERS.map(({ name }) => name).join(', ')}.\n`,
  );
  process.exit(2);
}

const session = new Session();
session.connect();
await session.post('Profiler.enable');
await session.post('Profiler.startPreciseCoverage', { callCount: true, detailed: true });

/** Blocks of our own code that ran since the last look. */
async function blocksRun(): Promise<string[]> {
  const { result } = await session.post('Profiler.takePreciseCoverage');
  return result
    .filter(({ url }) => url.includes('/src/lib/'))
    .flatMap(({ scriptId, functions }) =>
      functions.flatMap(({ ranges }) =>
        ranges
          .filter(({ count }) => count > 0)
          .map(({ startOffset, endOffset }) => `${scriptId}:${startOffset}:${endOffset}`),
      ),
    );
}

async function fuzz(parser: Parser, seconds: number, seed: number): Promise<string> {
  const random = seeded(seed);
  const pool = [...parser.seeds];
  const seen = new Set<string>();
  const until = performance.now() + seconds * 1000;
  let tried = 0;
  let accepted = 0;
  let slowest = 0;
  while (performance.now() < until) {
    const inputs = Array.from({ length: BETWEEN_LOOKS }, () => mutated(pool, random));
    for (const input of inputs) {
      const before = performance.now();
      try {
        if ((await parser.read(input)) === 'accepted') accepted += 1;
      } catch (error) {
        return failed(parser, input, `threw ${String(error)}`);
      }
      const took = performance.now() - before;
      slowest = Math.max(slowest, took);
      if (took > SLOW) return failed(parser, input, `took ${took.toFixed(0)} ms`);
      tried += 1;
    }
    const fresh = (await blocksRun()).filter((block) => !seen.has(block));
    for (const block of fresh) seen.add(block);
    // Which of the handful it was is not known; all of them are worth going on from.
    if (fresh.length > 0) pool.push(...inputs);
  }
  return `${parser.name}: ${tried} inputs, ${accepted} accepted, ${seen.size} blocks reached, pool of ${pool.length}, slowest ${slowest.toFixed(0)} ms`;
}

function failed({ name }: Parser, input: Uint8Array, how: string): string {
  process.exitCode = 1;
  return `${name}: ${how} on ${Buffer.from(input).toString('base64')}`;
}

const share = Number(values.seconds) / chosen.length;
process.stdout.write(`${chosen.length} parsers, ${share.toFixed(1)} s each, seed ${values.seed}\n`);
for (const parser of chosen)
  process.stdout.write(`${await fuzz(parser, share, Number(values.seed))}\n`);
