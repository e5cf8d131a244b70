/**
 * Everything that could be asked for in a state and would be accepted: what the screen may offer and
 * what the explorer walks. One representative result stands for each step (and one for each option and
 * connector); what differs only in a value inside its limits is the same act.
 */
import type { Command, NewPerson, Order } from './commands.ts';
import { asOf, weigh, type Weighed } from './decide.ts';
import type { Stamp } from './events.ts';
import { stepBlocks } from './gates.ts';
import { STATED_LAPSES } from './lapses.ts';
import type { PlanStep } from './plan.ts';
import { sampleResult } from './sample-result.ts';
import { FRESH, isEnded, personOf, type JobState } from './state.ts';

export interface Bounds {
  /** Everybody who may take part; the first opens the job. */
  readonly people: readonly NewPerson[];
  /** The most connectors taken off in one job (never fewer than a step expects at least). */
  readonly connectors: number;
}

export interface Enabled {
  readonly command: Command;
  readonly weighed: Weighed;
}

type By = Order & { readonly by: string };
/** Commands by name; whoever wants only some is not made the others. */
type Names = ReadonlySet<Command['command']>;

const EXITS = ['park', 'refuse', 'evidenceHold', 'close', 'downTools', 'tingle', 'resume'] as const;
const CORRECTION = ['correct'] as const;
const COMING_AND_GOING = ['join', 'leave', 'handOver', 'removeLockFor'] as const;

const isAnyOf = (names: Names | undefined, of: readonly Command['command'][]): boolean =>
  names === undefined || of.some((name) => names.has(name));

/** Connectors that a disconnect step may take off next, within the bounds. */
function nextConnectors(state: JobState, step: PlanStep, bounds: Bounds) {
  const data = step.step;
  const least = data.do === 'disconnect' ? (data.expect?.least ?? 1) : 1;
  const own = state.connectors.filter((each) => each.step === step.index);
  const off = own.findLast((each) => !each.open);
  if (off !== undefined && own.length >= Math.max(least, bounds.connectors)) {
    return [{ id: off.id, label: off.label, terminal: off.terminal }];
  }
  if (own.length >= Math.max(least, bounds.connectors)) return [];
  const missing = Math.max(1, least - own.length);
  return Array.from({ length: missing }, (_, at) => {
    const id = `${step.id}-${own.length + at + 1}`;
    return { id, label: id, terminal: id };
  });
}

function stepOrders(state: JobState, step: PlanStep, by: string, bounds: Bounds): By[] {
  const base = { command: 'do' as const, step: step.id, by };
  const data = step.step;
  switch (data.do) {
    case 'window':
      return [];
    case 'choose':
      return Object.keys(data.options).map((option) => ({ ...base, result: { option } }));
    case 'disconnect': {
      const connectors = nextConnectors(state, step, bounds);
      return connectors.length === 0 ? [] : [{ ...base, result: { connectors } }];
    }
    case 'reseat':
      return state.connectors
        .filter((each) => each.open)
        .map((each) => ({ ...base, result: { connector: each.id } }));
    default:
      return [{ ...base, result: sampleResult(state, step, by) }];
  }
}

function stepCandidates(state: JobState, by: string, bounds: Bounds, names?: Names): By[] {
  const orders: By[] = [];
  for (const step of state.plan.steps) {
    if (stepBlocks(state, step, by, true).length === 0) {
      orders.push(...stepOrders(state, step, by, bounds));
    }
    if (step.step.optional)
      orders.push({ command: 'notDone', step: step.id, why: 'not needed', by });
    const mark = state.marks[step.index] ?? 0;
    if (mark !== 0 && isAnyOf(names, CORRECTION))
      orders.push({ command: 'correct', step: step.id, why: 'slip', by });
  }
  return orders;
}

function lapseCandidates(state: JobState, by: string): By[] {
  return STATED_LAPSES.flatMap((what): By[] => {
    const base = { command: 'lapse' as const, what, by };
    switch (what) {
      case 'reEnergized':
        return state.plan.sources
          .filter((source) => source.points.length > 0)
          .map((source) => ({ ...base, source: source.id }));
      case 'instrumentDoubt':
        return state.instruments.map(({ card }) => ({ ...base, instrument: card.id }));
      case 'time':
        return state.plan.steps
          .filter((step) => step.keepsMs > 0 && ((state.marks[step.index] ?? 0) & FRESH) !== 0)
          .map((step) => ({ ...base, step: step.id }));
      case 'leftSight':
        return [base, { ...base, minutes: 45 }];
      default:
        return [base];
    }
  });
}

/** Every open end and connector, declared left on purpose. */
function declareAll(state: JobState) {
  const ends = state.plan.ends.filter((_, at) => (state.openEnds & (1 << at)) !== 0);
  const connectors = state.connectors.filter((each) => each.open);
  return [...ends, ...connectors].map(({ id }) => ({
    end: id,
    insulated: true,
    why: 'waits for a part',
  }));
}

function exitCandidates(state: JobState, by: string): By[] {
  const left = declareAll(state);
  const park = {
    command: 'park' as const,
    told: 'household',
    owner: 'office',
    until: '2027-01-01',
  };
  return [
    { ...park, as: 'usable', left: [], by },
    { ...park, as: 'shut', left, by },
    { ...park, as: 'shut', left, lock: `parked-${by}`, by },
    { command: 'refuse', why: 'not today', left, by },
    { command: 'evidenceHold', why: 'burn marks', by },
    { command: 'close', by },
    { command: 'downTools', why: 'not sure', by },
    { command: 'tingle', what: 'felt a tingle', by },
    { command: 'resume', by },
  ];
}

/** The number of the lock that is put on at a handover, where the one who takes over has none yet. */
function handedLock(state: JobState, by: string, to: string): string {
  const has = (point: number) =>
    state.locks.some((lock) => lock.owner === to && lock.point === point && !lock.parked);
  const bare = state.locks.find(
    (lock) => lock.owner === by && !lock.parked && !has(lock.point),
  )?.point;
  return `${to}-${bare ?? 'none'}`;
}

function peopleCandidates(state: JobState, by: string, bounds: Bounds): By[] {
  const orders: By[] = [];
  for (const person of bounds.people) {
    if (!personOf(state, person.id)?.present) orders.push({ command: 'join', person, by });
    else {
      orders.push({ command: 'leave', person: person.id, by });
      orders.push({
        command: 'handOver',
        to: person.id,
        lock: handedLock(state, by, person.id),
        by,
      });
    }
  }
  for (const number of new Set(state.locks.map((lock) => lock.number))) {
    orders.push({
      command: 'removeLockFor',
      lock: number,
      away: 'seen to leave',
      tried: ['telephone'],
      informed: 'note on the van key',
      authorizedBy: 'office',
      by,
    });
  }
  return orders;
}

function windowCandidates(state: JobState, by: string): By[] {
  if (state.window) return [{ command: 'endWindow', again: false, by }];
  return state.plan.ofKind.window.map((at) => {
    const step = state.plan.steps[at] as PlanStep;
    const source = state.plan.sources[step.source]?.id ?? '';
    const readBack = 'read back';
    return {
      command: 'window',
      source,
      step: step.id,
      reason: 'voltage under command',
      readBack,
      by,
    };
  });
}

function candidates(state: JobState, bounds: Bounds, names?: Names): By[] {
  if (state.status === 'notOpened') {
    const lead = bounds.people[0] as NewPerson;
    const instrument = {
      id: 'meter',
      category: 'CAT IV',
      volts: '1000',
      due: '2099-12-31',
      percent: '0.5',
      counts: 2,
    };
    const open = {
      command: 'open' as const,
      site: 'site',
      people: [lead],
      instruments: [instrument],
    };
    return [{ ...open, by: lead.id }];
  }
  const orders: By[] = [];
  const acting = state.people.filter((person) => person.present).map((person) => person.id);
  const parked = state.status === 'parkedShut' || state.status === 'parkedUsable';
  for (const by of parked ? state.people.map((person) => person.id) : acting) {
    if (state.status === 'atWork') orders.push(...stepCandidates(state, by, bounds, names));
    orders.push(...windowCandidates(state, by));
    if (isAnyOf(names, COMING_AND_GOING)) orders.push(...peopleCandidates(state, by, bounds));
    if (isAnyOf(names, EXITS)) orders.push(...exitCandidates(state, by));
  }
  const anyone = acting[0] ?? state.people[0]?.id;
  if (anyone !== undefined && isAnyOf(names, ['lapse']))
    orders.push(...lapseCandidates(state, anyone));
  return orders;
}

/** What people here may do with these steps alone. */
function stepsOnly(state: JobState, bounds: Bounds, only: (step: PlanStep) => boolean): By[] {
  const acting = state.people.filter((person) => person.present).map((person) => person.id);
  return acting.flatMap((by) =>
    state.plan.steps
      .filter((step) => only(step) && stepBlocks(state, step, by, true).length === 0)
      .flatMap((step) => stepOrders(state, step, by, bounds)),
  );
}

/**
 * Every command that is accepted in this state, each with what it does.
 * @param only asks for acts on these steps and for nothing else
 * @param names asks for these commands alone: the others are not even weighed
 */
export function enabledCommands(
  state: JobState,
  bounds: Bounds,
  now: Pick<Stamp, 'at' | 'mono' | 'boot'>,
  only?: (step: PlanStep) => boolean,
  names?: Names,
): Enabled[] {
  if (isEnded(state)) return [];
  const enabled: Enabled[] = [];
  const timed = asOf(state, { ...now, by: '' });
  const orders = only ? stepsOnly(timed, bounds, only) : candidates(timed, bounds, names);
  for (const order of orders) {
    if (names?.has(order.command) === false) continue;
    const command = { ...now, ...order } as Command;
    const weighed = weigh(state, command);
    if (weighed.blocks.length === 0) enabled.push({ command, weighed });
  }
  return enabled;
}
