/** The events of a job in which one step is stated and corrected again and again, then the job is done. */
import type { Command, Order } from '#lib/core/job/commands.ts';
import { decide } from '#lib/core/job/decide.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { planOf } from '#lib/core/job/plan.ts';
import type { JobState } from '#lib/core/job/state.ts';
import { initialState } from '#lib/core/job/state.ts';
import { lampChecklist, wholeJob } from '../support/a-bag.ts';
import { checklistIdentity } from '#lib/core/checklist/identity.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';

const identity = checklistIdentity(lampChecklist.json, nodePrimitives.sha256);

/** The lamp's job before it is opened. */
export const emptyJob = (): JobState => initialState(planOf(lampChecklist.checklist), identity);

/** Exactly `count` events, a second apart; the job is opened, done and handed back. */
export function longJob(count: number, orders: readonly Order[] = wholeJob): JobEvent[] {
  let state = emptyJob();
  const events: JobEvent[] = [];
  const give = (order: Order): void => {
    const ms = 1_764_000_000_000 + events.length * 1000;
    const stamp = { at: new Date(ms).toISOString(), mono: 5000 + events.length * 1000 };
    const command = { boot: 'k3test', by: 'mara', ...stamp, ...order } as Command;
    for (const event of decide(state, command).events) {
      state = evolve(state, event);
      events.push(event);
    }
  };
  const [open, ...others] = orders;
  if (open === undefined) throw new RangeError('A job begins with its opening.');
  give(open);
  const correct: Order = { command: 'correct', step: 'count', why: 'counted again' };
  const counted: Order = { command: 'do', step: 'count', result: { sources: 1 } };
  while (events.length < count - others.length - 1) {
    give(counted);
    give(correct);
  }
  // One note more where the pairs leave an odd place.
  if (events.length < count - others.length) give({ command: 'caution', step: 'count' });
  others.forEach(give);
  if (events.length !== count || state.status !== 'handedBack')
    throw new Error(`The job has ${events.length} events and is ${state.status}.`);
  return events;
}
