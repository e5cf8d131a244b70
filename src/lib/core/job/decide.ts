/**
 * `decide`: what a command makes happen, or why not. Pure; a refusal is a value and is recorded too.
 *
 * Every decision first settles the clocks (a restart, a wall clock set back, shelf lives that ran out),
 * so that no gate is ever asked about a fact whose time is over.
 */
import { block, refusalsOf, type Block } from './block.ts';
import type { Command } from './commands.ts';
import type { JobEvent, Stamp } from './events.ts';
import { open } from './decide-open.ts';
import { blockStrangeEnds, park, wanted } from './decide-park.ts';
import { handOver, join, leave, removeLockFor } from './decide-people.ts';
import { correct, doStep, findStep, leaveOut } from './decide-step.ts';
import { evolve } from './evolve.ts';
import { closeBlocks, evidenceHoldBlocks, refuseBlocks } from './exits.ts';
import { stepBlocks } from './gates.ts';
import { endedByClock, endedByLapse, type LapseSaid } from './lapses.ts';
import { rebase } from './rebase.ts';
import type { Refusal } from './refusal.ts';
import { elapsed, gapOf } from './running-clock.ts';
import { isEnded, isFresh, personOf, type JobState } from './state.ts';
import { emit, eventOf, type Turn } from './turn.ts';

export interface Decision {
  readonly accepted: boolean;
  /** In order; to be sealed, stored and folded whether accepted or not. */
  readonly events: readonly JobEvent[];
  readonly refusals: readonly Refusal[];
}

/** A wall clock that disagrees with the running clock by more than this is noted. */
const DRIFT_MS = 2_000;
const DRIFT_AHEAD_MS = 120_000;

/** Notes on the clocks and shelf lives that ran out before this command. */
function clockEvents(state: JobState, command: Stamp): JobEvent[] {
  if (state.status === 'notOpened' || isEnded(state)) return [];
  const events: JobEvent[] = [];
  const gap = gapOf(state.clock, command);
  const drift = Math.trunc(gap.wallDrift / 1000);
  if (gap.restarted) {
    const seconds = Math.trunc(gap.ms / 1000);
    events.push(eventOf(command, 'clock.noted', { what: 'restart', seconds }));
  } else if (gap.wallDrift < -DRIFT_MS) {
    events.push(eventOf(command, 'clock.noted', { what: 'wallBack', seconds: drift }));
  } else if (gap.wallDrift > DRIFT_AHEAD_MS) {
    events.push(eventOf(command, 'clock.noted', { what: 'wallAhead', seconds: drift }));
  }
  const { steps, cause } = endedByClock(state, command);
  const waiting = state.cutAt.some(
    (at, source) => at >= 0 && (state.plan.sources[source]?.waitMs ?? 0) > 0,
  );
  if (steps.length > 0 || (cause === 'restart' && waiting)) {
    const ids = steps.map((step) => state.plan.steps[step]?.id ?? '');
    events.push(eventOf(command, 'fact.lapsed', { what: 'time', cause, steps: ids }));
  }
  return events;
}

/** Danger is taken as it is said: without a name it is every source or instrument that it could be. */
function stateLapse(turn: Turn, command: Command & { command: 'lapse' }): void {
  const { state } = turn;
  const { what, source, instrument, minutes, step } = command;
  if (source !== undefined && !state.plan.sourceIndex.has(source)) {
    block(turn, 'bad-input', 'unknownSource', { source });
  }
  if (instrument !== undefined && !state.instruments.some(({ card }) => card.id === instrument)) {
    block(turn, 'bad-input', 'unknownInstrument', { instrument });
  }
  if (step !== undefined && !state.plan.stepIndex.has(step)) {
    block(turn, 'bad-input', 'unknownStep', { step });
  }
  const said = {
    ...(source === undefined ? {} : { source }),
    ...(instrument === undefined ? {} : { instrument }),
    ...(minutes === undefined ? {} : { minutes }),
    ...(step === undefined ? {} : { step }),
  };
  const named: Partial<LapseSaid>[] =
    what === 'reEnergized' && source === undefined
      ? state.plan.sources
          .filter((each) => each.points.length > 0)
          .map(({ id }) => ({ source: id }))
      : what === 'instrumentDoubt' && instrument === undefined
        ? state.instruments.map(({ card }) => ({ instrument: card.id }))
        : [{}];
  for (const each of named.length > 0 ? named : [{}]) emitLapse(turn, { ...said, what, ...each });
}

function emitLapse(turn: Turn, lapse: LapseSaid): void {
  const { state } = turn;
  const steps = endedByLapse(state, lapse).map((at) => state.plan.steps[at]?.id ?? '');
  const { step, ...said } = lapse;
  void step; /* it is among the steps */
  emit(turn, 'fact.lapsed', { ...said, cause: 'told', steps });
}

function openWindow(turn: Turn, command: Command & { command: 'window' }): void {
  const { state } = turn;
  const source = state.plan.sourceIndex.get(command.source);
  if (source === undefined) {
    block(turn, 'bad-input', 'unknownSource', { source: command.source });
    return;
  }
  const steps = state.plan.ofKind.window.filter((at) => state.plan.steps[at]?.source === source);
  const chosen =
    steps.find((at) => state.plan.steps[at]?.id === command.step) ??
    steps.find((at) => !isFresh(state, at, command.by)) ??
    steps[0];
  const step = chosen === undefined ? undefined : state.plan.steps[chosen];
  if (step?.step.do !== 'window') {
    const label = state.plan.sources[source]?.source.label ?? '';
    block(turn, 'barred', 'windowBarred', { source: label });
    return;
  }
  turn.blocks.push(...stepBlocks(state, step, command.by));
  if (command.readBack.trim() === '') block(turn, 'bad-input', 'windowReadBack');
  if (command.reason.trim() === '') block(turn, 'bad-input', 'windowReason');
  const { reason, readBack } = command;
  const { minutes } = step.step;
  emit(turn, 'window.opened', { step: step.id, source: command.source, reason, readBack, minutes });
}

function endWindow(turn: Turn, command: Command & { command: 'endWindow' }): void {
  const { window, plan } = turn.state;
  if (!window) block(turn, 'order', 'windowNot');
  const source = plan.sources[window?.source ?? -1]?.id ?? '';
  emit(turn, 'window.closed', { source, unexpected: command.again === true });
}

function resume(turn: Turn): void {
  const { status } = turn.state;
  if (status !== 'downTools' && status !== 'parkedShut' && status !== 'parkedUsable') {
    block(turn, 'order', 'notParked');
  }
  emit(turn, 'job.resumed', {});
}

function downTools(turn: Turn, why: string): void {
  const { window, plan } = turn.state;
  if (window) {
    emit(turn, 'window.closed', {
      source: plan.sources[window.source]?.id ?? '',
      unexpected: true,
    });
  }
  emit(turn, 'tools.down', { why });
}

/** Commands that stopped or parked work still takes. */
const WHILE_DOWN = [
  'resume',
  'park',
  'refuse',
  'evidenceHold',
  'lapse',
  'leave',
  'tingle',
  'nearMiss',
  'caution',
  'join',
  'downTools',
];
const WHILE_PARKED = ['resume', 'join', 'lapse', 'removeLockFor', 'tingle', 'nearMiss', 'caution'];

function checkStanding(turn: Turn): void {
  const { state, command } = turn;
  const name = command.command;
  if (name === 'open' || name === 'amend') return;
  if (state.status === 'notOpened') return block(turn, 'order', 'notOpened');
  if (isEnded(state)) return block(turn, 'ended', 'ended');
  if (state.status === 'downTools' && !WHILE_DOWN.includes(name)) {
    block(turn, 'order', 'toolsDown');
  }
  const parked = state.status === 'parkedShut' || state.status === 'parkedUsable';
  if (parked && !WHILE_PARKED.includes(name)) block(turn, 'order', 'parked');
  const known = personOf(state, command.by);
  const absent = parked ? known === undefined : !known?.present;
  if (absent && !(name === 'join' && command.person.id === command.by)) {
    block(turn, 'people', 'notHere', { person: command.by });
  }
}

function act(turn: Turn): void {
  const { command, state } = turn;
  switch (command.command) {
    case 'open':
      return open(turn, command);
    case 'do':
      return doStep(turn, command);
    case 'notDone':
      return leaveOut(turn, command);
    case 'correct':
      return correct(turn, command);
    case 'caution':
      if (findStep(turn, command.step)) emit(turn, 'caution.read', { step: command.step });
      return;
    case 'lapse':
      return stateLapse(turn, command);
    case 'join':
      return join(turn, command);
    case 'leave':
      return leave(turn, command);
    case 'window':
      return openWindow(turn, command);
    case 'endWindow':
      return endWindow(turn, command);
    case 'park':
      return park(turn, command);
    case 'resume':
      return resume(turn);
    case 'handOver':
      return handOver(turn, command);
    case 'rebase':
      return rebase(turn, command);
    case 'removeLockFor':
      return removeLockFor(turn, command);
    case 'tingle':
      return tingle(turn, command.what);
    case 'nearMiss':
      return emit(turn, 'nearMiss', { what: command.what });
    case 'downTools':
      return downTools(turn, command.why);
    case 'refuse':
      wanted(turn, command.why, 'whyMissing');
      blockStrangeEnds(turn, command.left);
      turn.blocks.push(...refuseBlocks(state, command.left));
      if (state.window) block(turn, 'live-window', 'leaveWindow');
      return emit(turn, 'job.refused', { why: command.why, left: command.left });
    case 'evidenceHold':
      wanted(turn, command.why, 'whyMissing');
      turn.blocks.push(...evidenceHoldBlocks(state));
      if (state.window) block(turn, 'live-window', 'leaveWindow');
      return emit(turn, 'evidence.held', { why: command.why });
    case 'close':
      turn.blocks.push(...closeBlocks(state));
      if (state.window) block(turn, 'live-window', 'leaveWindow');
      return emit(turn, 'job.closed', { openEnds: [] });
    case 'amend':
      if (!isEnded(state))
        block(turn, 'order', state.status === 'notOpened' ? 'notOpened' : 'amendEarly');
      wanted(turn, command.text, 'whyMissing');
      return emit(turn, 'amended', {
        about: command.about,
        text: command.text,
        ...(command.acted === undefined ? {} : { acted: command.acted }),
        ...(command.photos === undefined ? {} : { photos: command.photos }),
      });
  }
}

/** A shock isolates first: whatever was thought dead is unknown now. */
function tingle(turn: Turn, what: string): void {
  const { state } = turn;
  if (state.window) downTools(turn, what);
  emit(turn, 'tingle', { what });
  for (const source of state.plan.sources) {
    if (!source.electrical || source.points.length === 0) continue;
    emitLapse(turn, { what: 'reEnergized', source: source.id });
  }
}

function refuse(turn: Turn, before: readonly JobEvent[]): Decision {
  const { state, command, blocks, kept } = turn;
  const refusals = refusalsOf(state, blocks);
  const unusable = state.status === 'notOpened' || refusals.some((each) => each.key === 'monoBack');
  if (unusable) return { accepted: false, events: [], refusals };
  const tried = eventOf(command, 'try.refused', {
    command: command.command,
    ...('step' in command && command.step !== undefined ? { step: command.step } : {}),
    codes: [...new Set(refusals.map((each) => each.code))],
    says: refusals.map((each) => each.says),
    ...kept,
  });
  return { accepted: false, events: [...before, tried], refusals };
}

export interface Weighed {
  readonly blocks: readonly Block[];
  /** What follows when nothing blocks: clock notes first, then what the command does. */
  readonly events: readonly JobEvent[];
  readonly before: readonly JobEvent[];
  readonly turn: Turn;
}

/** A decision before its sentences are written; what the explorer and `enabledCommands` ask. */
export function weigh(state: JobState, command: Command): Weighed {
  const sameRun = command.boot === state.clock.boot;
  if (state.status !== 'notOpened' && sameRun && command.mono < state.clock.mono) {
    const turn: Turn = { state, command, blocks: [], events: [], kept: {} };
    block(turn, 'bad-input', 'monoBack');
    return { blocks: turn.blocks, events: [], before: [], turn };
  }
  const before = clockEvents(state, command);
  const turn: Turn = {
    state: before.length > 0 ? before.reduce(evolve, state) : atTime(state, command),
    command,
    blocks: [],
    events: [],
    kept: {},
  };
  checkStanding(turn);
  if (turn.blocks.length === 0) act(turn);
  return { blocks: turn.blocks, events: [...before, ...turn.events], before, turn };
}

/** The same state with its running time at the command's, so that waits are asked about now. */
function atTime(state: JobState, command: Stamp): JobState {
  if (state.status === 'notOpened') return state;
  const ms = elapsed(state.clock, command);
  if (ms === 0) return state;
  return { ...state, clock: { ...state.clock, ran: state.clock.ran + ms } };
}

/** The state as it stands at this moment: what ran out by now has ended, though nobody said anything. */
export function asOf(state: JobState, stamp: Stamp): JobState {
  const before = clockEvents(state, stamp);
  return before.length > 0 ? before.reduce(evolve, state) : atTime(state, stamp);
}

/** What this command makes happen in this state, or why it does not. */
export function decide(state: JobState, command: Command): Decision {
  const weighed = weigh(state, command);
  if (weighed.blocks.length > 0) return refuse(weighed.turn, weighed.before);
  return { accepted: true, events: weighed.events, refusals: [] };
}
