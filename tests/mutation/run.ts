/**
 * Runs the tests of the rules against every change of the rules, and writes who noticed what.
 *
 *     npm run mutate [-- EXPRESSION FOR THE FILES] [--most MINUTES] [--only KINDS] [--again] [--processes 1]
 *
 * Judges what was not judged yet, and with `--again` what survived, too; keeps each verdict at once
 * (`verdicts.json`), and writes the score of all that was judged. Ends with 1 when a change of `rule` or
 * `case` survives without a reason. A change that makes a process hang ends it, and is counted apart.
 */
import { fork, type ChildProcess } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { allPlaces, isLeft, type Verdict } from './bench.ts';
import { reasonFor } from './argued.ts';
import { Verdicts } from './kept.ts';
import { root, type Place } from './places.ts';
import { scoreText } from './score.ts';
import type { Task } from './worker.ts';

/** Longest that one change may take, in ms, on a machine that does other work, too; and the rehearsal. */
const PATIENCE = { judging: 300_000, rehearsing: 600_000 };

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    most: { type: 'string', default: '600' },
    only: { type: 'string', default: '' },
    again: { type: 'boolean', default: false },
    processes: { type: 'string', default: '2' },
  },
});
const { places } = allPlaces();
const verdicts = new Verdicts(places);
const wanted = new RegExp(positionals[0] ?? '', 'u');
const kinds = values.only === '' ? [] : values.only.split(',');
const isOpen = (number: number) => {
  const verdict = verdicts.byNumber.get(number);
  return verdict === undefined || verdict === 'putOff' || (values.again && isLeft(verdict));
};
const open = places.flatMap(({ file, kind }, number) =>
  wanted.test(file) && (kinds.length === 0 || kinds.includes(kind)) && isOpen(number)
    ? [number]
    : [],
);
/* The rules and the gates first, then file by file: a run that is ended early has judged what matters most. */
const FIRST = [
  /interlocks|energy\.ts/u,
  /job\/lapses/u,
  /job\/(?:gates|block|decide)/u,
  /safety\//u,
];
const rank = (number: number) => {
  const { kind, file } = places[number] as Place;
  if (kind === 'rule' || (kind === 'case' && file.endsWith('lapses.ts'))) return -1;
  const at = FIRST.findIndex((each) => each.test(file));
  return at < 0 ? FIRST.length : at;
};
open.sort((a, b) => rank(a) - rank(b) || a - b);
/* Most changes are noticed at once. The others wait until each was asked for a moment. */
const MOMENT = 300;
const isPutOff = (number: number) => verdicts.byNumber.get(number) === 'putOff';
const waiting = open.filter((number) => !isPutOff(number));
const later = open.filter(isPutOff);
function nextTask(): Task | undefined {
  if (performance.now() >= until) return undefined;
  const soon = waiting.shift();
  if (soon !== undefined) return { number: soon, most: MOMENT };
  const number = later.shift();
  return number === undefined ? undefined : { number };
}
const until = performance.now() + Number(values.most) * 60_000;

function judging(): Promise<void> {
  return new Promise((done, fail) => {
    const child: ChildProcess = fork(fileURLToPath(new URL('worker.ts', import.meta.url)), {
      execArgv: ['--max-semi-space-size=64'],
    });
    let task: Task | undefined;
    let ready = false;
    let timer: NodeJS.Timeout | undefined;
    const watch = (ms: number) => {
      clearTimeout(timer);
      timer = setTimeout(() => child.kill('SIGKILL'), ms);
    };
    const next = () => {
      task = nextTask();
      if (task === undefined) {
        child.kill();
        return;
      }
      watch(PATIENCE.judging);
      child.send(task);
    };
    watch(PATIENCE.rehearsing);
    child.on('message', (said: 'ready' | { number: number; verdict: Verdict }) => {
      ready = true;
      if (said !== 'ready') {
        verdicts.keep(said.number, said.verdict);
        if (said.verdict === 'putOff') later.push(said.number);
        const left = waiting.length + later.length;
        if (left % 50 === 0)
          process.stderr.write(`${left} left, ${later.length} of them put off\n`);
      }
      task = undefined;
      next();
    });
    child.on('exit', () => {
      clearTimeout(timer);
      if (!ready) fail(new Error('The tests fail with nothing changed.'));
      else if (task === undefined) done();
      else {
        verdicts.keep(task.number, 'endless');
        judging().then(done, fail);
      }
    });
  });
}

const processes = Math.min(Number(values.processes), open.length);
if (until > performance.now()) await Promise.all(Array.from({ length: processes }, judging));
writeFileSync(`${root}tests/mutation/SCORE.md`, scoreText(places, verdicts.byNumber));
const gone = [...verdicts.byNumber].filter(([number, verdict]) => {
  const { kind } = places[number] as Place;
  return (
    isLeft(verdict) &&
    (kind === 'rule' || kind === 'case') &&
    reasonFor(places[number] as Place) === undefined
  );
});
process.exitCode = gone.length > 0 ? 1 : 0;
