/**
 * Enabled equals accepted, the other way round: what is not offered in a state is not accepted there. In
 * states that the explorer comes to, everything is tried that anybody could order: each act on each step with
 * results good and bad, each coming and going, each way to stop or to end, by people who are here and by one
 * who is not. (That all that is offered is accepted is held in `engine.laws.test.ts`.)
 *
 * Not tried is what is taken at any time and never offered, since it asks for nothing: notes (`caution`,
 * `nearMiss`, `amend`), and lapses as they are stated. Going over to another list has tests of its own.
 */
import { describe, expect, test } from 'vitest';
import type { Checklist } from '#lib/core/checklist/model.ts';
import type { Order } from '#lib/core/job/commands.ts';
import { weigh } from '#lib/core/job/decide.ts';
import { enabledCommands, type Bounds } from '#lib/core/job/enabled-commands.ts';
import type { LeftOpen, StepResult } from '#lib/core/job/events.ts';
import { planOf, type Plan, type PlanStep } from '#lib/core/job/plan.ts';
import { sampleResult } from '#lib/core/job/sample-result.ts';
import { initialState, type JobState } from '#lib/core/job/state.ts';
import { boundsOf } from '#lib/core/prove/bounds.ts';
import { after, movesFrom, ZERO } from '#lib/core/prove/moves.ts';
import { stateKey } from '#lib/core/prove/state-key.ts';
import {
  checklistNames,
  checklistOf,
  checklistText,
  lampText,
} from '../../../support/checklist-texts.ts';

type By = Order & { readonly by: string };

/**
 * Which act it is: what differs in a value inside its limits is the same one, and so is a coming that the one
 * who comes writes down instead of somebody who is here.
 */
function actOf(plan: Plan, { by, ...order }: By): string {
  switch (order.command) {
    case 'do': {
      const kind = plan.steps[plan.stepIndex.get(order.step) ?? -1]?.do;
      const { option, connector } = order.result;
      const which = kind === 'choose' ? option : kind === 'reseat' ? connector : '';
      return ['do', by, order.step, which ?? ''].join(' ');
    }
    case 'notDone':
    case 'correct':
      return [order.command, by, order.step].join(' ');
    case 'join':
      return ['join', order.person.id].join(' ');
    case 'leave':
      return ['leave', by, order.person].join(' ');
    case 'handOver':
      return ['handOver', by, order.to].join(' ');
    case 'window':
      return ['window', by, order.source].join(' ');
    case 'park':
      return ['park', by, order.as, order.lock === undefined ? '' : 'locked'].join(' ');
    case 'removeLockFor':
      return ['removeLockFor', by, order.lock].join(' ');
    default:
      return [order.command, by].join(' ');
  }
}

const VOLTS = { value: '0', unit: 'V' };
const KNOWN = { expected: '120', shown: '120', unit: 'V' };

/** Results for a step: the one that fits it, none at all, and what belongs to other kinds of steps. */
function resultsOf(state: JobState, step: PlanStep, by: string, bounds: Bounds): StepResult[] {
  const data = step.step;
  const own = state.connectors.filter((each) => each.step === step.index);
  const least = data.do === 'disconnect' ? Math.max(data.expect?.least ?? 1, bounds.connectors) : 0;
  /* One wire more than the bounds is refused by nobody, and explored by nobody. */
  const free = own.length < least ? [{ id: `h${own.length}`, label: 'h', terminal: 'h' }] : [];
  return [
    sampleResult(state, step, by),
    {},
    { sources: state.plan.sources.length },
    {
      pairs: { 'L-N': VOLTS, 'L-G': VOLTS, 'N-G': VOLTS, 'case-ground': VOLTS },
      before: KNOWN,
      after: KNOWN,
      instrument: 'meter',
    },
    { value: '0.2', unit: 'V', instrument: 'meter' },
    { lock: 'H-1', tag: 'By hand' },
    { people: state.people.map(({ id }) => id) },
    ...free.map((each) => ({ connectors: [each] })),
    ...(data.do === 'choose' ? Object.keys(data.options).map((option) => ({ option })) : []),
    ...state.connectors.map(({ id }) => ({ connector: id })),
  ];
}

/** Everything that this person could order, whether or not it makes sense. */
function ordersOf(state: JobState, by: string, bounds: Bounds): By[] {
  const { plan } = state;
  const open = [
    ...plan.ends.filter((_, at) => (state.openEnds & (1 << at)) !== 0),
    ...state.connectors.filter((each) => each.open),
  ];
  const left = open.map(({ id }): LeftOpen => ({ end: id, insulated: true, why: 'A part' }));
  const park = { command: 'park', told: 'keeper', owner: 'office', until: '2027-01-01' } as const;
  const why = 'because';
  const orders: Order[] = [
    ...plan.steps.flatMap((step): Order[] => [
      ...resultsOf(state, step, by, bounds).map(
        (result) => ({ command: 'do', step: step.id, result }) as const,
      ),
      { command: 'notDone', step: step.id, why },
      { command: 'correct', step: step.id, why },
    ]),
    ...bounds.people.flatMap((person): Order[] => [
      { command: 'join', person },
      { command: 'leave', person: person.id },
      { command: 'handOver', to: person.id, lock: `new-${person.id}` },
      { command: 'handOver', to: person.id },
    ]),
    ...plan.sources.map(
      ({ id }) => ({ command: 'window', source: id, reason: why, readBack: 'it' }) as const,
    ),
    { command: 'endWindow' },
    ...([left, []] as const).flatMap((said): Order[] => [
      { ...park, as: 'usable', left: said },
      { ...park, as: 'shut', left: said },
      { ...park, as: 'shut', left: said, lock: `parked-${by}` },
      { command: 'refuse', why, left: said },
    ]),
    { command: 'evidenceHold', why },
    { command: 'close' },
    { command: 'resume' },
    { command: 'downTools', why },
    { command: 'tingle', what: why },
    ...[...state.locks.map(({ number }) => number), 'no-such-lock'].map((lock): Order => ({
      command: 'removeLockFor',
      lock,
      away: 'seen to leave',
      tried: ['telephone'],
      informed: 'note on the key',
      authorizedBy: 'office',
    })),
    { command: 'open', site: 'site', people: [...bounds.people], instruments: [] },
  ];
  return orders.map((order) => ({ ...order, by }));
}

/** States all along a list, breadth first: every `stride`th new one, and each that gets further in it. */
function statesOf(checklist: Checklist, bounds: Bounds, most: number, stride: number): JobState[] {
  const found = [initialState(planOf(checklist), '')];
  const seen = new Set(found.map(stateKey));
  for (let at = 0; at < found.length && found.length < most; at++) {
    const state = found[at] as JobState;
    for (const [ordinal, { events }] of movesFrom(state, bounds).entries()) {
      const next = after(state, events);
      const key = stateKey(next);
      const skipped = next.frontier <= state.frontier && (at * 5 + ordinal) % stride !== 0;
      if (skipped || seen.has(key)) continue;
      seen.add(key);
      found.push(next);
    }
  }
  return found;
}

/** What is accepted in these states and was not offered; of the orders of a state every `stride`th is tried. */
function unoffered(states: readonly JobState[], bounds: Bounds, stride: number) {
  const wrong = new Set<string>();
  let accepted = 0;
  for (const [at, state] of states.entries()) {
    const { plan } = state;
    if (state.status === 'notOpened') continue;
    const offered = new Set(
      enabledCommands(state, bounds, ZERO).map(({ command }) => actOf(plan, command)),
    );
    for (const by of [...bounds.people.map(({ id }) => id), 'nobody']) {
      for (const [ordinal, order] of ordersOf(state, by, bounds).entries()) {
        if ((at + ordinal) % stride !== 0) continue;
        const { blocks } = weigh(state, { ...ZERO, ...order });
        if (blocks.length > 0) continue;
        accepted += 1;
        if (!offered.has(actOf(plan, order))) wrong.add(`${state.status}: ${actOf(plan, order)}`);
      }
    }
  }
  return { wrong: [...wrong], accepted };
}

describe('what is not offered is not accepted', () => {
  test('in every state of the bench lamp with two people', () => {
    const checklist = checklistOf(lampText);
    const bounds = boundsOf(checklist, 2, 1);
    const states = statesOf(checklist, bounds, 1e6, 1);
    const { wrong, accepted } = unoffered(states, bounds, 5);
    expect(wrong).toEqual([]);
    expect(accepted).toBeGreaterThan(states.length);
  });

  const others = (['test', 'shipped'] as const).flatMap((folder) =>
    checklistNames(folder).map((name) => [name, folder] as const),
  );
  test.each(others)('in states all along %s', (name, folder) => {
    const checklist = checklistOf(checklistText(name, folder));
    const bounds = boundsOf(checklist, 2, 2);
    const { wrong, accepted } = unoffered(statesOf(checklist, bounds, 120, 3), bounds, 7);
    expect(wrong).toEqual([]);
    expect(accepted).toBeGreaterThan(100);
  });
});
