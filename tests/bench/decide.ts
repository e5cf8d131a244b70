/**
 * Commands decided and folded a second over a whole job, beside a general state-machine library (`xstate`)
 * and a rules library (`json-rules-engine`) that hold the same order, proof and connector gates of that
 * job. They decide less: no clocks, people, locks, lapses, readings, reasons. All three give the same verdicts.
 */
import { Engine } from 'json-rules-engine';
import { assign, createActor, createMachine } from 'xstate';
import type { Command } from '#lib/core/job/commands.ts';
import { decide } from '#lib/core/job/decide.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState } from '#lib/core/job/state.ts';
import { lampChecklist, wholeJob } from '../support/a-bag.ts';
import { rowOf, timed } from './paired.ts';
import type { Row } from './paired.ts';

/** Jobs a run. */
const JOBS = 150;
const plan = planOf(lampChecklist.checklist);
const empty = initialState(plan, 'c4'.repeat(32));
const commands = wholeJob.map((order, at) => {
  const stamp = { at: new Date(1_764_000_000_000 + at * 20_000).toISOString(), mono: at * 20_000 };
  return { boot: 'b', by: 'mara', ...stamp, ...order } as Command;
});
/** What the peers are told of each command: the act, and the step. */
const acts = commands.map((each) =>
  'step' in each && each.command === 'do' ? String(each.step) : each.command,
);
const order = ['open', ...plan.steps.map(({ id }) => id), 'close'];

function ours(): boolean[] {
  let state = empty;
  return commands.map((command) => {
    const { accepted, events } = decide(state, command);
    state = events.reduce(evolve, state);
    return accepted;
  });
}

interface Gates {
  readonly done: readonly string[];
  readonly proved: boolean;
  readonly open: number;
}
const NEEDS_PROOF = new Set(['base-off', 'wires', 'switch']);
const ENERGIZES = new Set(['clear', 'plug-in', 'done', 'close']);
/** The first try at the base comes before the proof; the second after it. */
const following = (done: readonly string[]): string | undefined =>
  order.find((id) => !done.includes(id));

function isOpen(act: string, { done, proved, open }: Gates): boolean {
  if (NEEDS_PROOF.has(act) && !proved) return false;
  if (ENERGIZES.has(act) && open > 0) return false;
  return following(done) === act;
}

function after(act: string, gates: Gates): Gates {
  return {
    done: [...gates.done, act],
    proved: gates.proved || act === 'dead',
    open: gates.open + (act === 'wires' ? 1 : act === 'rewire' ? -1 : 0),
  };
}

const nothing: Gates = { done: [], proved: false, open: 0 };
const machine = createMachine({
  types: {} as { context: Gates; events: { type: 'act'; act: string } },
  context: nothing,
  on: {
    act: {
      guard: ({ context, event }) => isOpen(event.act, context),
      actions: assign(({ context, event }) => after(event.act, context)),
    },
  },
});

function byMachine(): boolean[] {
  const actor = createActor(machine).start();
  return acts.map((act) => {
    const before = actor.getSnapshot().context;
    actor.send({ type: 'act', act });
    return actor.getSnapshot().context !== before;
  });
}

const engine = new Engine([], { allowUndefinedFacts: true });
for (const act of order)
  engine.addRule({
    conditions: {
      all: [
        { fact: 'act', operator: 'equal', value: act },
        { fact: 'next', operator: 'equal', value: act },
        ...(NEEDS_PROOF.has(act) ? [{ fact: 'proved', operator: 'equal', value: true }] : []),
        ...(ENERGIZES.has(act) ? [{ fact: 'open', operator: 'equal', value: 0 }] : []),
      ],
    },
    event: { type: 'open' },
  });

async function byRules(): Promise<boolean[]> {
  let gates = nothing;
  const verdicts: boolean[] = [];
  for (const act of acts) {
    const { events } = await engine.run({
      act,
      next: following(gates.done) ?? '',
      proved: gates.proved,
      open: gates.open,
    });
    verdicts.push(events.length > 0);
    if (events.length > 0) gates = after(act, gates);
  }
  return verdicts;
}

export async function bench(rounds: number): Promise<Row[]> {
  const verdicts = ours();
  for (const peer of [byMachine(), await byRules()])
    if (peer.join() !== verdicts.join())
      throw new Error(`The peers decide otherwise: ${peer.join()} for ${verdicts.join()}.`);
  if (verdicts.filter((accepted) => !accepted).length !== 1) throw new Error('One try is refused.');
  const seconds = await timed(
    [
      { name: 'decide', run: () => Array.from({ length: JOBS }, ours).forEach(() => {}) },
      { name: 'xstate', run: () => Array.from({ length: JOBS }, byMachine).forEach(() => {}) },
      {
        name: 'json-rules-engine',
        run: async () => {
          for (let job = 0; job < JOBS; job += 1) await byRules();
        },
      },
    ],
    rounds,
    'processor',
  );
  const says = 'commands of a whole job decided and folded, one of them refused';
  const units = JOBS * commands.length;
  return [
    rowOf({ name: 'decide', says, units, unit: 'commands' }, seconds, [
      { ours: 'decide', to: 'json-rules-engine', least: 100 },
      { ours: 'decide', to: 'xstate', least: 10 },
    ]),
  ];
}
