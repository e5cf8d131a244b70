/** The number that tells one move of a state from another, from the engine's command and from a row's. */
import type { Command } from '../../job/commands.ts';
import { STATED_LAPSES } from '../../job/lapses.ts';
import type { JobState } from '../../job/state.ts';

const KINDS = [
  'open',
  'do',
  'notDone',
  'correct',
  'window',
  'endWindow',
  'join',
  'leave',
  'handOver',
  'removeLockFor',
  'park',
  'refuse',
  'evidenceHold',
  'close',
  'downTools',
  'tingle',
  'resume',
  'lapse',
  'waited',
  'danger',
] as const;
export type Kind = (typeof KINDS)[number];

/** By kind its place in the list: asked for every move, and a list would be searched each time. */
const PLACES = Object.fromEntries(KINDS.map((kind, at) => [kind, at])) as Record<Kind, number>;

/** Packs what tells one move of a state from another; steps and people counted from 0. */
export function label(kind: Kind, step: number, by: number, extra: number): number {
  return ((PLACES[kind] * 256 + step) * 8 + by) * 256 + extra;
}

/** By kind whether its moves are wanted, as the caller says of the first label of the kind. */
export function kindsWanted(wanted: (move: number) => boolean): Readonly<Record<Kind, boolean>> {
  const kinds = KINDS.map((kind) => [kind, wanted(label(kind, 0, 0, 0))]);
  return Object.fromEntries(kinds) as Record<Kind, boolean>;
}

/** The label of an engine's move from this state; `people` in the order of the bounds. */
export function labelOf(
  state: JobState,
  people: readonly string[],
  command: Command,
  isDanger: boolean,
): number {
  const by = people.indexOf(command.by);
  const step = (id: string) => state.plan.stepIndex.get(id) ?? 0;
  switch (command.command) {
    case 'do':
      return labelOfDo(state, command, by, isDanger);
    case 'notDone':
    case 'correct':
      return label(command.command, step(command.step), by, 0);
    case 'window':
      return label('window', step(command.step ?? ''), by, 0);
    case 'join':
      return label('join', 0, by, people.indexOf(command.person.id));
    case 'leave':
      return label('leave', 0, by, people.indexOf(command.person));
    case 'handOver':
      return label('handOver', 0, by, people.indexOf(command.to));
    case 'removeLockFor': {
      const lock = state.locks.find((each) => each.number === command.lock);
      const at = lock?.parked ? 255 : (lock?.point ?? 0);
      return label('removeLockFor', at, by, people.indexOf(lock?.owner ?? ''));
    }
    case 'park': {
      const how = command.as === 'usable' ? 0 : command.lock === undefined ? 1 : 2;
      return label('park', 0, by, how);
    }
    case 'lapse': {
      if (command.what === 'time') return label('lapse', step(command.step ?? ''), 1, 0);
      const source = state.plan.sourceIndex.get(command.source ?? '') ?? 0;
      const extra = command.what === 'leftSight' && command.minutes !== undefined ? 1 : source;
      return label('lapse', STATED_LAPSES.indexOf(command.what), 0, extra);
    }
    case 'open':
    case 'endWindow':
    case 'refuse':
    case 'evidenceHold':
    case 'close':
    case 'downTools':
    case 'tingle':
    case 'resume':
      return label(command.command, 0, command.command === 'open' ? 0 : by, 0);
    default:
      throw new Error(`${command.command} is no move of the explorer.`);
  }
}

function labelOfDo(
  state: JobState,
  command: Command & { command: 'do' },
  by: number,
  isDanger: boolean,
): number {
  const { result } = command;
  const step = state.plan.steps[state.plan.stepIndex.get(command.step) ?? 0];
  if (isDanger) return label('danger', step?.index ?? 0, 0, result.before?.shown === '177' ? 1 : 0);
  const kind = command.mono > 0 ? 'waited' : 'do';
  if (step?.step.do === 'choose') {
    const option = Object.keys(step.step.options).indexOf(result.option ?? '');
    return label(kind, step.index, by, option);
  }
  const connector = state.connectors.find((each) => each.id === result.connector);
  const place = connector ? state.plan.ofKind.disconnect.indexOf(connector.step) : 0;
  return label(kind, step?.index ?? 0, by, place);
}
