/** What the engine makes of the results that an explorer hands in, asked once for every step. */
import type { Bounds } from '../../job/enabled-commands.ts';
import { evolve } from '../../job/evolve.ts';
import type { Plan } from '../../job/plan.ts';
import { readResult } from '../../job/results.ts';
import { sampleResult } from '../../job/sample-result.ts';
import { initialState, type JobState } from '../../job/state.ts';
import { AT, movesFrom, spoilt, SPOILT } from '../moves.ts';

/** What handing in the sample of a step does, worked out once with the engine's own reader. */
export interface Sample {
  readonly refused: boolean;
  /** Refused while the meter is in doubt. */
  readonly wantsMeter: boolean;
  readonly measured: boolean;
  readonly counted: boolean;
  readonly options: number;
  /** What a spoilt result shows, in the order of `SPOILT`. */
  readonly dangers: readonly { live?: string; caseLive?: string; doubt?: string }[];
}

export function samplesOf(plan: Plan, bounds: Bounds): readonly Sample[] {
  const start = initialState(plan, '');
  const opened = (movesFrom(start, bounds)[0]?.events ?? []).reduce(evolve, start);
  const doubted: JobState = {
    ...opened,
    instruments: opened.instruments.map((each) => ({ ...each, doubted: true })),
  };
  const by = bounds.people[0]?.id ?? '';
  return plan.steps.map((step): Sample => {
    const result = sampleResult(opened, step, by);
    const read = (state: JobState, given = result) =>
      readResult(state, step, by, AT.slice(0, 10), given);
    const own = !['disconnect', 'reseat', 'unlock'].includes(step.do);
    const metered = step.do === 'reading' || step.do === 'release';
    const tested = step.do === 'case' || step.do === 'prove';
    return {
      refused: own && read(opened).blocks.length > 0,
      wantsMeter: own && read(doubted, sampleResult(doubted, step, by)).blocks.length > 0,
      measured: metered && result.instrument !== undefined,
      counted: result.sources !== undefined,
      options: step.step.do === 'choose' ? Object.keys(step.step.options).length : 1,
      dangers: tested ? SPOILT.map((how) => read(opened, spoilt(result, how))) : [],
    };
  });
}
