/**
 * The standing lapse table: which facts an event ends. A checklist may name more (`keeps.unless`),
 * never fewer; a lapse is stated once and ends everything it ends, at once.
 */
import type { Lapse } from '../checklist/model.ts';
import type { Stamp } from './events.ts';
import { LONG_ABSENCE_MINUTES, type PlanStep } from './plan.ts';
import { gapOf } from './running-clock.ts';
import { factStands, isFresh, OPEN, UNCHECKED, type JobState } from './state.ts';

export interface LapseSaid {
  readonly what: Lapse;
  readonly source?: string;
  readonly instrument?: string;
  readonly minutes?: number;
  readonly step?: string;
}

/**
 * Lapses that a person states as they happen; the others follow from commands of their own, and are taken
 * as stated too, since what ends a fact is never argued with.
 */
export const STATED_LAPSES: readonly Lapse[] = [
  'time',
  'leftSight',
  'panelTouched',
  'reEnergized',
  'moved',
  'instrumentDoubt',
];

function isElectricalProof(state: JobState, step: PlanStep): boolean {
  return step.do === 'prove' && (state.plan.sources[step.source]?.electrical ?? false);
}

function isCoolRelease(state: JobState, step: PlanStep): boolean {
  const release = state.plan.sources[step.source]?.source.release;
  return step.do === 'release' && release !== undefined && 'cool' in release;
}

function standing(state: JobState, step: PlanStep, lapse: LapseSaid): boolean {
  const long = (lapse.minutes ?? 0) >= LONG_ABSENCE_MINUTES;
  switch (lapse.what) {
    case 'time':
      return lapse.step === undefined ? step.keepsMs > 0 : step.id === lapse.step;
    case 'leftSight': {
      if (isElectricalProof(state, step)) return true;
      if (long && (step.do === 'tell' || isCoolRelease(state, step))) return true;
      const unlocked = !state.locks.some((lock) => lock.point === step.point);
      return (
        step.do === 'isolate' &&
        state.plan.points[step.point]?.control === 'exclusive' &&
        unlocked &&
        state.holders[step.point] !== ''
      );
    }
    case 'panelTouched':
      return isElectricalProof(state, step);
    case 'moved':
      return step.do === 'open' && state.plan.ends[step.end]?.kind === 'prop';
    case 'instrumentDoubt':
      return (
        ((state.marks[step.index] ?? 0) & UNCHECKED) !== 0 &&
        state.facts[step.index]?.result?.instrument === lapse.instrument
      );
    case 'reEnergized':
      return endsWithSource(state, step, lapse.source ?? '');
    case 'joined':
      return step.do === 'clear' || step.do === 'tell';
    case 'parked':
    case 'resumed':
    case 'handedOver':
      return (
        ['prove', 'tell', 'clear', 'wear'].includes(step.do) ||
        (step.do === 'isolate' && state.plan.points[step.point]?.control === 'exclusive')
      );
    case 'windowOpened':
      return step.do === 'prove' && isOfSource(state, step, lapse.source);
  }
}

function isOfSource(state: JobState, step: PlanStep, source: string | undefined): boolean {
  return source === undefined || state.plan.sourceIndex.get(source) === step.source;
}

/** Everything about a source, and the charges that it fills. */
function endsWithSource(state: JobState, step: PlanStep, sourceId: string): boolean {
  const at = state.plan.sourceIndex.get(sourceId);
  if (at === undefined || step.source < 0) return step.do === 'clear';
  if (step.source === at) return ['isolate', 'lock', 'prove', 'case', 'release'].includes(step.do);
  const other = state.plan.sources[step.source];
  const stored = other?.source.release !== undefined && 'discharge' in other.source.release;
  return step.do === 'release' && stored && (other?.fedBy.includes(at) ?? false);
}

/** Whether there is anything for a lapse to end: a cut, a lock and what is worn outlast their mark. */
function stands(state: JobState, step: PlanStep): boolean {
  switch (step.do) {
    case 'isolate': {
      const exclusive = state.plan.points[step.point]?.control === 'exclusive';
      return state.points[step.point] === OPEN && !(exclusive && state.holders[step.point] === '');
    }
    case 'lock':
      return state.locks.some((lock) => lock.point === step.point && lock.sure && !lock.parked);
    case 'wear':
      return state.people.some((person) => person.present && isFresh(state, step.index, person.id));
    default:
      return factStands(state, step.index);
  }
}

/** The steps whose facts this lapse ends in this state, by index. */
export function endedByLapse(state: JobState, lapse: LapseSaid): number[] {
  return state.plan.steps.flatMap((step) => {
    const read = lapse.what === 'instrumentDoubt' && (state.marks[step.index] ?? 0) & UNCHECKED;
    if (!read && !stands(state, step)) return [];
    const named = step.unless.includes(lapse.what);
    return named || standing(state, step, lapse) ? [step.index] : [];
  });
}

/** Facts whose shelf life has run out at this stamp, and whether a restart made their age unknowable. */
export function endedByClock(
  state: JobState,
  stamp: Stamp,
): { readonly steps: number[]; readonly cause: 'clock' | 'restart' } {
  const gap = gapOf(state.clock, stamp);
  const lost = gap.restarted && !gap.known;
  if (gap.ms === 0 && !lost) return { steps: [], cause: 'clock' };
  const ran = state.clock.ran + gap.ms;
  const steps: number[] = [];
  for (const step of state.plan.steps) {
    if (step.keepsMs === 0) continue;
    const age = ran - (state.facts[step.index]?.ran ?? 0);
    if ((lost || age > step.keepsMs) && stands(state, step)) steps.push(step.index);
  }
  return { steps, cause: lost ? 'restart' : 'clock' };
}
