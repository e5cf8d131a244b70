/** A refusal before its sentence is written: what the gates collect, cheaply. */
import { refusal, type Refusal, type RefusalCode } from './refusal.ts';
import type { PlanStep } from './plan.ts';
import { NOT_APPLICABLE, type JobState } from './state.ts';
import type { WordArgs, WordKey } from './words.ts';

export interface Block {
  readonly code: RefusalCode;
  readonly key: WordKey;
  readonly args: WordArgs;
  readonly clears: readonly number[];
  readonly remaining?: number;
}

/** What a gate is asked: may this person do this step in this state? */
export interface Ask {
  readonly state: JobState;
  readonly step: PlanStep;
  readonly by: string;
  readonly blocks: Block[];
}

export function block(
  ask: { readonly blocks: Block[] },
  code: RefusalCode,
  key: WordKey,
  args: WordArgs = {},
  clears: readonly number[] = [],
): void {
  ask.blocks.push({ code, key, args, clears });
}

/** A step that an earlier choice rules out opens nothing. */
function clearing(state: JobState, at: number): readonly string[] {
  const step = state.plan.steps[at];
  return step === undefined || ((state.marks[at] ?? 0) & NOT_APPLICABLE) !== 0 ? [] : [step.id];
}

/** Writes the sentences, once, at the border of the engine. */
export function refusalsOf(state: JobState, blocks: readonly Block[]): Refusal[] {
  const seen = new Set<string>();
  const refusals: Refusal[] = [];
  for (const each of blocks) {
    const made = refusal(
      each.code,
      each.key,
      each.args,
      each.clears.flatMap((at) => clearing(state, at)),
    );
    if (seen.has(made.says)) continue;
    seen.add(made.says);
    refusals.push(each.remaining === undefined ? made : { ...made, remaining: each.remaining });
  }
  return refusals;
}
