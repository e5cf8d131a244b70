/** A job's lines read and folded to its state, beside parsing the same lines as JSON and nothing else. */
import { eventOf } from '#lib/core/bag/bodies.ts';
import type { Command } from '#lib/core/job/commands.ts';
import { decide } from '#lib/core/job/decide.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState } from '#lib/core/job/state.ts';
import { lampChecklist, wholeJob } from '../support/a-bag.ts';

import { rowOf, timed } from './paired.ts';
import type { Row } from './paired.ts';

const plan = planOf(lampChecklist.checklist);

/** Lines of a job in which one step is stated and corrected again and again. */
function linesOf(count: number): string[] {
  let state = initialState(plan, 'c4'.repeat(32));
  const lines: string[] = [];
  const give = (order: object, at: number): void => {
    const stamp = { at: new Date(1_764_000_000_000 + at * 1000).toISOString(), mono: at * 1000 };
    const command = { boot: 'b', by: 'mara', ...stamp, ...order } as Command;
    for (const event of decide(state, command).events) {
      state = evolve(state, event);
      lines.push(JSON.stringify({ entry: event }));
    }
  };
  give(wholeJob[0] ?? {}, 0);
  for (let at = 1; lines.length < count; at += 1)
    give(
      at % 2 === 1
        ? { command: 'do', step: 'count', result: { sources: 1 } }
        : { command: 'correct', step: 'count', why: 'counted again' },
      at,
    );
  return lines.slice(0, count);
}

function folded(lines: readonly string[]) {
  let state = initialState(plan, 'c4'.repeat(32));
  for (const line of lines) {
    const { entry } = JSON.parse(line) as { entry: JobEvent };
    state = evolve(state, entry);
  }
  return state;
}

export async function bench(rounds: number): Promise<Row[]> {
  const rows: Row[] = [];
  for (const count of [2000, 100_000]) {
    const lines = linesOf(count);
    const [first] = lines;
    if (lines.length !== count || first === undefined) throw new Error('The job is too short.');
    const { entry } = JSON.parse(first) as { entry: Parameters<typeof eventOf>[0] };
    if (!eventOf(entry).ok) throw new Error('The first line is no event.');
    if (folded(lines).status !== 'atWork') throw new Error('The fold came to something else.');
    const seconds = await timed(
      [
        { name: 'fold', run: () => void folded(lines) },
        { name: 'parse', run: () => lines.forEach((line) => void JSON.parse(line)) },
      ],
      rounds,
    );
    const says = `a job of ${count} entries parsed and folded to its state`;
    rows.push(
      rowOf({ name: `fold ${count}`, says, units: count, unit: 'entries' }, seconds, [
        { ours: 'fold', to: 'parse', most: 1.3 },
      ]),
    );
  }
  return rows;
}
