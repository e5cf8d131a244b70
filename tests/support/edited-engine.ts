/**
 * The core with some of its lines changed, loaded beside the real one: for rules that no plan can leave
 * out, because a result is read or a job is left by them. The files of the repository stay as they are.
 */
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { decide } from '#lib/core/job/decide.ts';
import type { evolve } from '#lib/core/job/evolve.ts';
import type { planOf } from '#lib/core/job/plan.ts';
import type { initialState } from '#lib/core/job/state.ts';

/** A line of the engine that is a rule, and what stands there when it is taken out. */
export interface Rule {
  /** What it asks for, in words. */
  readonly rule: string;
  /** A file of `core/job`. */
  readonly file: string;
  readonly from: string;
  readonly to: string;
}

export interface Engine {
  readonly decide: typeof decide;
  readonly evolve: typeof evolve;
  readonly planOf: typeof planOf;
  readonly initialState: typeof initialState;
}

const root = fileURLToPath(new URL('../../', import.meta.url));

function edit(path: string, { rule, from, to }: Rule): void {
  const parts = readFileSync(path, 'utf8').split(from);
  if (parts.length !== 2) {
    throw new Error(`The line of “${rule}” stands ${parts.length - 1} times in ${path}, not once.`);
  }
  writeFileSync(path, parts.join(to));
}

/** Loads a copy of the core without these rules. */
export async function engineWithout(rules: readonly Rule[]): Promise<Engine> {
  mkdirSync(join(root, '.tmp'), { recursive: true });
  const folder = mkdtempSync(join(root, '.tmp', 'edited-engine-'));
  try {
    for (const room of ['checklist', 'job', 'measure', 'record']) {
      cpSync(join(root, 'src/lib/core', room), join(folder, room), { recursive: true });
    }
    for (const rule of rules) edit(join(folder, 'job', rule.file), rule);
    const load = (file: string) => import(/* @vite-ignore */ join(folder, 'job', file));
    const [decided, evolved, planned, begun] = (await Promise.all(
      ['decide.ts', 'evolve.ts', 'plan.ts', 'state.ts'].map(load),
    )) as [
      Pick<Engine, 'decide'>,
      Pick<Engine, 'evolve'>,
      Pick<Engine, 'planOf'>,
      Pick<Engine, 'initialState'>,
    ];
    return {
      decide: decided.decide,
      evolve: evolved.evolve,
      planOf: planned.planOf,
      initialState: begun.initialState,
    };
  } finally {
    rmSync(folder, { recursive: true });
  }
}
