/**
 * What holds for every job, whatever people do in it: random walks over the engine, and commands made by
 * hand against the states they reach.
 */
import { fc, test } from '@fast-check/vitest';
import { describe, expect } from 'vitest';
import { eventOf } from '#lib/core/bag/bodies.ts';
import type { Command } from '#lib/core/job/commands.ts';
import { decide } from '#lib/core/job/decide.ts';
import { enabledCommands } from '#lib/core/job/enabled-commands.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';
import type { Plan } from '#lib/core/job/plan.ts';
import {
  FRESH,
  initialState,
  isEnded,
  NOT_DONE,
  OPEN,
  SETTLED,
  type JobState,
} from '#lib/core/job/state.ts';
import type { Entry } from '#lib/core/record/entry.ts';
import { runMonitors } from '#lib/core/safety/index.ts';
import { dryer, kiln, lamp, MARA, ODE, range, SHA } from '../../../support/job-builder.ts';

const BOUNDS = { people: [MARA, ODE], connectors: 3 };
const START = Date.parse('2026-11-25T08:00:00Z');
const NAMES = ['lamp', 'kiln', 'dryer', 'range'] as const;
const PLANS: Readonly<Record<string, () => Plan>> = { lamp, kiln, dryer, range };

/** One choice of a walk: which of the enabled commands, and how many seconds go by before it. */
type Choice = readonly [pick: number, seconds: number];

interface Walked {
  readonly state: JobState;
  readonly events: readonly JobEvent[];
  readonly commands: readonly Command[];
  readonly mono: number;
}

const at = (mono: number) => ({ at: new Date(START + mono).toISOString(), mono, boot: 'b1' });

const ENDS: ReadonlySet<string> = new Set(['refuse', 'evidenceHold']);
const DETOURS: ReadonlySet<string> = new Set(['park', 'downTools', 'tingle', 'handOver', 'lapse']);

/** A walk that stopped as often as it went on would not get far: most of its moves are the next step. */
function drawn(enabled: readonly Command[], frontier: string | undefined, pick: number): Command {
  const next = enabled.filter(
    (command) =>
      command.command === 'resume' ||
      command.command === 'endWindow' ||
      command.command === 'window' ||
      ('step' in command && command.command === 'do' && command.step === frontier),
  );
  const steps = enabled.filter(({ command }) => command === 'do' || command === 'join');
  const aside = enabled.filter(({ command }) => DETOURS.has(command));
  const rest = enabled.filter(({ command }) => !ENDS.has(command));
  const lists = [
    next,
    next,
    next,
    next,
    next,
    next,
    steps,
    steps,
    aside,
    pick % 90 === 0 ? enabled : rest,
  ];
  const list = lists[pick % lists.length] as readonly Command[];
  const from = list.length > 0 ? list : steps.length > 0 ? steps : enabled;
  return from[Math.floor(pick / lists.length) % from.length] as Command;
}

function walked(plan: Plan, choices: readonly Choice[]): Walked {
  let state = initialState(plan, SHA);
  const events: JobEvent[] = [];
  const commands: Command[] = [];
  let mono = 0;
  for (const [pick, seconds] of choices) {
    mono += seconds * 1000;
    const enabled = enabledCommands(state, BOUNDS, at(mono)).map(({ command }) => command);
    if (enabled.length === 0) break;
    const command = drawn(enabled, plan.steps[state.frontier]?.id, pick);
    const decision = decide(state, command);
    state = decision.events.reduce(evolve, state);
    events.push(...decision.events);
    commands.push(command);
  }
  return { state, events, commands, mono };
}

const choices = fc.array(
  fc.tuple(fc.nat(100_000), fc.oneof({ weight: 12, arbitrary: fc.nat(40) }, fc.nat(3000))),
  { minLength: 20, maxLength: 90, size: 'max' },
);
const walk = fc.tuple(fc.constantFrom(...NAMES), choices);
const runs = { numRuns: 25, interruptAfterTimeLimit: 20_000, markInterruptAsFailure: false };

/** A command as it leaves a device: through JSON, and read again. */
function sent(command: Command): unknown {
  return JSON.parse(JSON.stringify(command)) as unknown;
}

describe('the state of a job', () => {
  test.prop([walk], runs)('is the fold of its events, and of nothing else', ([name, path]) => {
    const plan = (PLANS[name] as () => Plan)();
    const { state, events } = walked(plan, path);
    const read = JSON.parse(JSON.stringify(events)) as JobEvent[];
    expect(read.reduce(evolve, initialState(plan, SHA))).toEqual(state);
  });

  test.prop([walk], runs)('follows from the same commands every time', ([name, path]) => {
    const plan = (PLANS[name] as () => Plan)();
    const { commands, events } = walked(plan, path);
    let state = initialState(plan, SHA);
    const again = commands.flatMap((command) => {
      const [one, other] = [decide(state, command), decide(state, command)];
      expect(one).toEqual(other);
      state = one.events.reduce(evolve, state);
      return one.events;
    });
    expect(again).toEqual(events);
  });

  test.prop([walk], runs)(
    'comes from a record that keeps the twelve properties',
    ([name, path]) => {
      const plan = (PLANS[name] as () => Plan)();
      const { events } = walked(plan, path);
      const verdicts = runMonitors(plan.checklist, events);
      const broken = Object.values(verdicts).flatMap(({ violations }) =>
        violations.map(({ property, says }) => `${property}: ${says}`),
      );
      expect(broken).toEqual([]);
    },
  );
});

describe('an event', () => {
  test.prop([walk], runs)('is one that a bag reads back as it was', ([name, path]) => {
    const { events } = walked((PLANS[name] as () => Plan)(), path);
    for (const event of events) {
      const read = eventOf(JSON.parse(JSON.stringify(event)) as Entry);
      if (!read.ok) throw new Error(`${event.type}: ${read.flaw.says}`);
      const { type, body } = event;
      expect(read.value).toMatchObject({ type, body });
    }
  });
});

describe('what is offered and what is taken', () => {
  test.prop([walk], runs)('every enabled command is read back and accepted', ([name, path]) => {
    const { state, mono } = walked((PLANS[name] as () => Plan)(), path);
    for (const { command } of enabledCommands(state, BOUNDS, at(mono))) {
      const read = parseCommand(sent(command));
      expect(read).toEqual({ ok: true, command: sent(command) });
      expect(decide(state, command).accepted).toBe(true);
    }
  });

  test.prop([walk, fc.constantFrom(MARA.id, ODE.id)], runs)(
    'a step that is not offered to a person is refused with a reason that they can act on',
    ([name, path], by) => {
      const { state, mono } = walked((PLANS[name] as () => Plan)(), path);
      if (isEnded(state) || state.status === 'notOpened') return;
      const stamp = at(mono);
      const offered = new Set(
        enabledCommands(state, BOUNDS, stamp).map(({ command }) => {
          const step = 'step' in command ? (command.step ?? '') : '';
          return `${command.command} ${step} ${command.by}`;
        }),
      );
      for (const step of state.plan.steps) {
        for (const order of handMade(state, step.id)) {
          const command = { ...stamp, by, ...order } as Command;
          const { accepted, refusals } = decide(state, command);
          if (accepted) expect(offered).toContain(`${command.command} ${step.id} ${by}`);
          else expect(refusals.length).toBeGreaterThan(0);
        }
      }
    },
  );
});

/** Orders about one step that anybody could type. */
function handMade(state: JobState, step: string): object[] {
  const check = { expected: '120', shown: '120', unit: 'V' };
  const plan = state.plan.steps[state.plan.stepIndex.get(step) ?? -1];
  const pairs = Object.fromEntries(
    [
      'L-N',
      'L-G',
      'N-G',
      'L1-L2',
      'L1-N',
      'L2-N',
      'L1-G',
      'L2-G',
      'case-ground',
      'case-neighbour',
    ].map((pair) => [pair, { value: '0', unit: 'V' }]),
  );
  const options = plan?.step.do === 'choose' ? Object.keys(plan.step.options) : [];
  const results: object[] = [
    {},
    { sources: state.plan.sources.length },
    { pairs, before: check, after: check, instrument: 'meter' },
    { value: '0.2', unit: 'V', instrument: 'meter' },
    { lock: 'H-1', tag: 'By hand' },
    { connectors: [{ id: 'h1', label: 'h1', terminal: 'h1' }] },
    { people: [MARA.id, ODE.id] },
    ...options.map((option) => ({ option })),
    ...state.connectors.map(({ id }) => ({ connector: id })),
  ];
  return results.map((result) => ({ command: 'do', step, result }));
}

/** What a person may lean on: the fewer of these, the stricter the state. */
function leanedOn(state: JobState): Set<string> {
  const { marks, plan, points, locks } = state;
  return new Set([
    ...marks.flatMap((mark, step) => ((mark & FRESH) !== 0 ? [`fresh ${step}`] : [])),
    ...marks.flatMap((mark, step) => ((mark & (SETTLED | NOT_DONE)) !== 0 ? [`past ${step}`] : [])),
    ...points.flatMap((position, point) => (position === OPEN ? [`cut ${point}`] : [])),
    ...locks.flatMap((lock) => (lock.sure ? [`lock ${lock.point} ${lock.owner}`] : [])),
    ...plan.ends.flatMap((_, end) => ((state.openEnds & (1 << end)) === 0 ? [`shut ${end}`] : [])),
    ...state.connectors.flatMap(({ id, open }) => (open ? [] : [`seated ${id}`])),
    ...state.people.flatMap(({ id, on, off }) => [`on ${id} ${on}`, `off ${id} ${off}`]),
  ]);
}

describe('a refused try', () => {
  const odd = fc.record({
    command: fc.constantFrom(
      'do',
      'notDone',
      'correct',
      'leave',
      'handOver',
      'window',
      'park',
      'close',
    ),
    by: fc.constantFrom(MARA.id, ODE.id, 'nobody'),
    pick: fc.nat(500),
    result: fc.oneof(
      fc.constant({}),
      fc.record({
        value: fc.constantFrom('0', '400', 'OL', 'x'),
        unit: fc.constantFrom('V', 'ohm', '°C'),
      }),
      fc.record({ operated: fc.constantFrom('thermostat', 'breaker', 'plug', 'app') }),
      fc.record({ lock: fc.constantFrom('tape', 'L-1', '') }),
    ),
  });

  test.prop([walk, odd], { numRuns: 60 })(
    'gives nobody anything more to lean on, and is written down',
    ([name, path], { command, by, pick, result }) => {
      const { state, mono } = walked((PLANS[name] as () => Plan)(), path);
      const step = state.plan.steps[pick % state.plan.steps.length]?.id ?? '';
      const read = parseCommand({
        ...at(mono),
        command,
        by,
        step,
        result,
        why: 'because',
        person: ODE.id,
        to: ODE.id,
        lock: 'L-9',
        source: state.plan.sources[0]?.id,
        reason: 'why not',
        readBack: true,
        as: 'usable',
        told: 'x',
        owner: 'y',
        until: '2026-12-01',
      });
      if (!read.ok) throw new Error(read.says);
      const { accepted, events } = decide(state, read.command);
      if (accepted) return;
      const after = events.reduce(evolve, state);
      const before = leanedOn(state);
      expect([...leanedOn(after)].filter((each) => !before.has(each))).toEqual([]);
      if (state.status !== 'notOpened') expect(events.at(-1)?.type).toBe('try.refused');
    },
  );
});
