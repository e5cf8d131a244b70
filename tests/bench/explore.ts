/**
 * States explored a second on one small model: looks that may be taken in any order, some of which wait for
 * others, then a signature and the hand-back. Beside the plain engine with its monitors the graph search of
 * `xstate`; beside the compact form `spin`, an explicit-state model checker, where it is installed (Debian:
 * `apt install spin gcc`). The model is written out for each; all of them must find as many states.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { assign, createMachine } from 'xstate';
import { getAdjacencyMap } from 'xstate/graph';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState } from '#lib/core/job/state.ts';
import { boundsOf } from '#lib/core/prove/bounds.ts';
import { label } from '#lib/core/prove/compact/label.ts';
import { pack, rowOf as packedRow, unpack } from '#lib/core/prove/compact/layout.ts';
import { CompactJob } from '#lib/core/prove/compact/moves.ts';
import { Store } from '#lib/core/prove/compact/store.ts';
import { plainWays } from '#lib/core/prove/plain-ways.ts';
import { rowOf, timed } from './paired.ts';
import type { Row, Skipped } from './paired.ts';

/** Look `at` waits for these: every third for the one two before it. */
const needsOf = (at: number): number[] => (at % 3 === 2 ? [at - 2] : []);
const maskOf = (looks: readonly number[]): number =>
  looks.reduce((mask, at) => mask | (1 << at), 0);
const looksOf = (count: number): number[] => Array.from({ length: count }, (_, at) => at);

function checklistOf(count: number): Checklist {
  const steps = looksOf(count).map((at) => {
    const needs = needsOf(at).map((need) => `look-${need}`);
    return `  - { id: look-${at}, phase: arrive, do: confirm, states: Part ${at} is whole, say: Look at part ${at}., takes: 5 s, together: looks, needs: [${needs.join(', ')}] }`;
  });
  const loaded = loadChecklist(
    [
      'format: 1',
      'id: many-looks',
      'title: Looks in any order',
      'revision: 1',
      'issued: 2026-11-01',
      'language: en',
      'scope: A model to measure the explorers with',
      'defer: The local code comes before this list.',
      'licensed: Nothing',
      'competence: [looking]',
      'references: {}',
      'barred: [Nothing]',
      'sources: {}',
      'ends: {}',
      'steps:',
      ...steps,
      '  - { id: done, phase: finish, do: sign, say: Sign the record. }',
    ].join('\n'),
  );
  if (loaded.ok) return loaded.checklist;
  throw new Error(loaded.problems.map(({ path, says }) => `${path}: ${says}`).join('\n'));
}

/** The compact form, acts on steps alone: nothing lapses, is corrected or parked. */
function compactStates(checklist: Checklist): number {
  const plan = planOf(checklist);
  const job = new CompactJob(plan, boundsOf(checklist, 1, 0));
  const { layout } = job;
  const store = new Store(layout.words);
  const key = new Int32Array(layout.words);
  const add = (row: Int32Array): void => {
    pack(layout, row, key, 0);
    store.add(key);
  };
  add(packedRow(layout, initialState(plan, 'explored')));
  const [opened, closed] = [label('open', 0, 0, 0), label('close', 0, 0, 0)];
  const [firstDo, afterDo] = [label('do', 0, 0, 0), label('notDone', 0, 0, 0)];
  const isPlain = (move: number): boolean =>
    move === opened || move === closed || (move >= firstDo && move < afterDo);
  const row = new Int32Array(layout.length);
  for (let id = 0; id < store.size; id += 1) {
    unpack(layout, store.packed, id * layout.words, row);
    job.movesFrom(row, () => add(job.row), isPlain);
  }
  return store.size;
}

/** Unopened, opened with the looks taken so far, signed, handed back. */
function machineStates(count: number): number {
  const all = maskOf(looksOf(count));
  const machine = createMachine({
    types: {} as { context: { stage: number; done: number }; events: { type: string } },
    context: { stage: 0, done: 0 },
    on: Object.fromEntries([
      ...looksOf(count).map((at) => [
        `look-${at}`,
        {
          guard: ({ context: { stage, done } }: { context: { stage: number; done: number } }) =>
            stage === 1 &&
            (done & (1 << at)) === 0 &&
            (done & maskOf(needsOf(at))) === maskOf(needsOf(at)),
          actions: assign({ done: ({ context }) => context.done | (1 << at) }),
        },
      ]),
      ...['open', 'sign', 'close'].map((name, stage) => [
        name,
        {
          guard: ({ context }: { context: { stage: number; done: number } }) =>
            context.stage === stage && (stage === 0 || context.done === all),
          actions: assign({ stage: stage + 1 }),
        },
      ]),
    ]),
  });
  const map = getAdjacencyMap(machine, {
    serializeState: ({ context }) => `${context.stage} ${context.done}`,
  });
  return Object.keys(map).length;
}

function promelaOf(count: number): string {
  const all = maskOf(looksOf(count));
  const looks = looksOf(count).map((at) => {
    const needs = maskOf(needsOf(at));
    return `:: d_step { stage == 1 && (done & ${1 << at}) == 0 && (done & ${needs}) == ${needs} -> done = done | ${1 << at} }`;
  });
  return [
    'byte stage = 0; int done = 0;',
    'active proctype job() {',
    'end: do',
    ':: d_step { stage == 0 -> stage = 1 }',
    ...looks,
    `:: d_step { stage == 1 && done == ${all} -> stage = 2 }`,
    ':: d_step { stage == 2 -> stage = 3 }',
    'od }',
  ].join('\n');
}

/** The checker that `spin` makes of the model; null where spin or a C compiler is not installed. */
function spinOf(count: number, folder: string): (() => number) | null {
  writeFileSync(join(folder, 'model.pml'), promelaOf(count));
  const run = (program: string, ...args: readonly string[]) =>
    spawnSync(program, args, { cwd: folder, encoding: 'utf8' });
  if (run('spin', '-a', 'model.pml').status !== 0) return null;
  const flags = ['-O2', '-DSAFETY', '-DNOREDUCE', '-DMEMLIM=4000'];
  if (run('gcc', ...flags, '-o', 'pan', 'pan.c').status !== 0) return null;
  return () => {
    const { stdout } = run(join(folder, 'pan'), '-m1000000', '-w22');
    return Number(/(\d+) states, stored/.exec(stdout)?.[1]);
  };
}

function sameCount(states: Readonly<Record<string, number>>): number {
  const counts = new Set(Object.values(states));
  const [count] = counts;
  if (counts.size !== 1 || count === undefined || !(count > 0))
    throw new Error(`They find other states: ${JSON.stringify(states)}.`);
  return count;
}

const SMALL = 12;
const LARGE = 19;

export async function bench(
  rounds: number,
  scale = { small: SMALL, large: LARGE },
): Promise<(Row | Skipped)[]> {
  const small = checklistOf(scale.small);
  const plain = (): number => {
    const { states, complete } = plainWays(small, { states: 1e9 });
    return complete ? states : 0;
  };
  const units = sameCount({
    plain: plain(),
    compact: compactStates(small),
    xstate: machineStates(scale.small),
  });
  const seconds = await timed(
    [
      { name: 'plain', run: () => void plain() },
      { name: 'xstate', run: () => void machineStates(scale.small) },
    ],
    rounds,
    'processor',
  );
  const says = `${units} states of ${scale.small} looks in any order, by the engine with the monitors beside it`;
  const first = rowOf({ name: 'explore plain', says, units, unit: 'states' }, seconds, [
    { ours: 'plain', to: 'xstate', least: 25 },
  ]);
  return [first, await compactRow(rounds, scale.large)];
}

async function compactRow(rounds: number, count: number): Promise<Row | Skipped> {
  const folder = mkdtempSync(join(tmpdir(), 'stillwire-bench-'));
  try {
    const spin = spinOf(count, folder);
    if (spin === null)
      return {
        name: 'explore compact',
        skipped: 'spin and gcc are not both installed here (Debian: apt install spin gcc).',
      };
    const large = checklistOf(count);
    const units = sameCount({ compact: compactStates(large), spin: spin() });
    const seconds = await timed(
      [
        { name: 'compact', run: () => void compactStates(large) },
        { name: 'spin', run: () => void spin() },
      ],
      Math.min(rounds, 5),
    );
    const says = `${units} states of ${count} looks in any order, by the compact form of the engine`;
    return rowOf({ name: 'explore compact', says, units, unit: 'states' }, seconds, [
      { ours: 'compact', to: 'spin', least: 5 },
    ]);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
