/**
 * Is this energy cut, controlled, released, proved? The questions behind P1, asked of one source, each
 * with what opens it. Shared by every interlock that guards a hand or a restoration.
 */
import { block, type Ask, type Block } from './block.ts';
import { FRESH, isProven, OPEN, presentCount, UNKNOWN, type JobState } from './state.ts';
import type { PlanPoint, PlanSource } from './plan.ts';

type Collector = { readonly state: JobState; readonly blocks: Block[] };

export function everIsFresh(state: JobState, steps: readonly number[]): boolean {
  for (const step of steps) if (((state.marks[step] ?? 0) & FRESH) !== 0) return true;
  return false;
}

/** What ended the newest fact among these steps, for the sentence. */
export function endedBy(state: JobState, steps: readonly number[]): string {
  for (const step of steps) {
    const ended = state.facts[step]?.ended;
    if (ended !== undefined) return ended;
  }
  return '';
}

export function blockUnlessCut(ask: Collector, source: PlanSource): void {
  const { state } = ask;
  for (const at of source.points) {
    const point = state.plan.points[at] as PlanPoint;
    const position = state.points[at];
    if (position === OPEN) continue;
    const key = position === UNKNOWN ? 'pointUnknown' : 'pointClosed';
    block(ask, 'not-dead', key, { point: point.label }, point.isolateSteps);
  }
}

function blockUnlessLocked(ask: Collector, point: PlanPoint): void {
  const { state } = ask;
  for (const person of state.people) {
    if (!person.present) continue;
    const own = state.locks.find(
      (lock) => lock.point === point.index && lock.owner === person.id && !lock.parked,
    );
    const args = { person: person.id, point: point.label };
    if (!own) block(ask, 'lock-owner', 'ownLock', args, point.lockSteps);
    else if (!own.sure) block(ask, 'lock-owner', 'lockUnsure', args, point.lockSteps);
  }
}

function lockedByAll(state: JobState, point: number): boolean {
  for (const person of state.people) {
    if (!person.present) continue;
    const own = state.locks.some(
      (lock) => lock.point === point && lock.owner === person.id && lock.sure && !lock.parked,
    );
    if (!own) return false;
  }
  return true;
}

/** A lock of every person at every lock point; a plug in sight, or locked when more than one is here. */
export function blockUnlessControlled(ask: Collector, source: PlanSource): void {
  const { state } = ask;
  let lockedElsewhere = false;
  for (const at of source.points) {
    const point = state.plan.points[at] as PlanPoint;
    if (point.control !== 'exclusive') {
      blockUnlessLocked(ask, point);
      lockedElsewhere = true;
    }
  }
  const many = presentCount(state) > 1;
  for (const at of source.points) {
    const point = state.plan.points[at] as PlanPoint;
    if (point.control !== 'exclusive') continue;
    const holder = state.people.find((person) => person.id === state.holders[at]);
    const locked = lockedByAll(state, at);
    if (!locked && !holder?.present) {
      block(ask, 'not-dead', 'noHolder', { point: point.label }, point.isolateSteps);
    }
    if (!many || lockedElsewhere) continue;
    if (point.lockSteps.length > 0) blockUnlessLocked(ask, point);
    else if (!locked) block(ask, 'lock-owner', 'plugShared', { point: point.label });
  }
}

export function blockUnlessProven(ask: Collector, source: PlanSource): void {
  const { state } = ask;
  if (source.source.dead === undefined || isProven(state, source.index)) return;
  const ended = endedBy(state, source.proveSteps);
  const args = { source: source.source.label, ended: ended === '' ? 'lapsed' : ended };
  if (ended === '') block(ask, 'not-dead', 'notProven', args, source.proveSteps);
  else block(ask, 'stale-proof', 'proofStale', args, source.proveSteps);
}

export function blockUnlessReleased(ask: Collector, source: PlanSource): void {
  const { state } = ask;
  if (source.source.release === undefined || everIsFresh(state, source.releaseSteps)) return;
  const stale = endedBy(state, source.releaseSteps) !== '';
  const key = stale ? 'storedStale' : 'stored';
  block(ask, 'stored', key, { source: source.source.label }, source.releaseSteps);
}

/** P1 for one source: cut at every point, under control, released, proved. */
export function blockUnlessDead(ask: Ask, source: PlanSource): void {
  blockUnlessCut(ask, source);
  blockUnlessControlled(ask, source);
  blockUnlessReleased(ask, source);
  blockUnlessProven(ask, source);
}
