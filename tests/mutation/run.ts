/**
 * Runs the tests of the rules against every change of the rules, and writes who noticed what.
 *
 *     npm run mutate [-- EXPRESSION FOR THE FILES] [--most MINUTES]
 *
 * Ends with 1 when a change of `rule` or `case` survives. Two processes; a change that makes one hang
 * ends that process and is counted apart.
 */
import { fork, type ChildProcess } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { allPlaces, type Verdict } from './bench.ts';
import { root, type Place } from './places.ts';
import { scoreText } from './score.ts';

/** Longest that one change may take, in ms; so long a process gets for its rehearsal, too. */
const PATIENCE = { judging: 60_000, rehearsing: 300_000 };

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { most: { type: 'string', default: '600' }, only: { type: 'string', default: '' } },
});
const { places } = allPlaces();
const wanted = new RegExp(positionals[0] ?? '', 'u');
const kinds = values.only === '' ? [] : values.only.split(',');
const waiting = places.flatMap(({ file, kind }, number) =>
  wanted.test(file) && (kinds.length === 0 || kinds.includes(kind)) ? [number] : [],
);
/* The gates and the rules first: a run that is ended early has judged what matters most. */
const rank = (number: number) => {
  const { kind, file } = places[number] as Place;
  if (kind === 'rule') return 0;
  if (file.endsWith('lapses.ts')) return kind === 'case' ? 0 : 0.5;
  if (/interlocks|energy\.ts/u.test(file)) return 1;
  return /safety\/p\d/u.test(file) ? 2 : 3;
};
waiting.sort((a, b) => rank(a) - rank(b));
const verdicts = new Map<number, Verdict>();
const until = performance.now() + Number(values.most) * 60_000;

function judging(): Promise<void> {
  return new Promise((done, fail) => {
    const child: ChildProcess = fork(fileURLToPath(new URL('worker.ts', import.meta.url)));
    let number: number | undefined;
    let ready = false;
    let timer: NodeJS.Timeout | undefined;
    const watch = (ms: number) => {
      clearTimeout(timer);
      timer = setTimeout(() => child.kill('SIGKILL'), ms);
    };
    const next = () => {
      number = performance.now() < until ? waiting.shift() : undefined;
      if (number === undefined) {
        child.kill();
        return;
      }
      watch(PATIENCE.judging);
      child.send(number);
    };
    watch(PATIENCE.rehearsing);
    child.on('message', (said: 'ready' | { number: number; verdict: Verdict }) => {
      ready = true;
      if (said !== 'ready') {
        verdicts.set(said.number, said.verdict);
        if (verdicts.size % 50 === 0) process.stderr.write(`${verdicts.size}\n`);
      }
      number = undefined;
      next();
    });
    child.on('exit', () => {
      clearTimeout(timer);
      if (!ready) fail(new Error('The tests fail with nothing changed.'));
      else if (number === undefined) done();
      else {
        verdicts.set(number, 'endless');
        judging().then(done, fail);
      }
    });
  });
}

await Promise.all([judging(), judging()]);
const whole = positionals.length === 0 && kinds.length === 0;
const text = scoreText(places, verdicts);
if (whole) writeFileSync(`${root}tests/mutation/SCORE.md`, text);
else process.stdout.write(text);
const gone = [...verdicts].filter(
  ([number, verdict]) =>
    verdict === 'survives' && ['rule', 'case'].includes(places[number]?.kind ?? ''),
);
process.exitCode = gone.length > 0 ? 1 : 0;
