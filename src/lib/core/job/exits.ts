/** The ways a job may end or be left (P10), each with everything that still stands against it. */
import { block, type Block } from './block.ts';
import { blockLocksLeft, blockOpenEnds } from './interlocks.ts';
import type { LeftOpen } from './events.ts';
import type { PlanPoint, PlanSource } from './plan.ts';
import { CLOSED, FRESH, isSettled, OPEN, type JobState } from './state.ts';

type Collector = { readonly state: JobState; readonly blocks: Block[] };

function everyPoint(state: JobState): number[] {
  return state.plan.points.map((point) => point.index);
}

function blockCutPoints(ask: Collector): void {
  const { state } = ask;
  for (const point of state.plan.points) {
    if (state.points[point.index] === CLOSED) continue;
    const args = { point: point.label };
    block(ask, 'park-incomplete', 'parkClosedPoint', args, point.restoreSteps);
  }
}

function blockUntestedCases(ask: Collector): void {
  const { state } = ask;
  for (const source of state.plan.sources) {
    if (!source.metalCase) continue;
    const live = (state.caseLive & (1 << source.index)) !== 0;
    const args = { source: source.source.label };
    if (live) block(ask, 'case-live', 'caseLive', args, source.caseSteps);
    else if (!source.caseSteps.some((step) => ((state.marks[step] ?? 0) & FRESH) !== 0)) {
      block(ask, 'case-unknown', 'parkCase', args, source.caseSteps);
    }
  }
}

/** What is open and not declared left on purpose: insulated, covered, and why. */
function blockUndeclared(ask: Collector, left: readonly LeftOpen[]): void {
  const { state } = ask;
  const declared = (id: string) =>
    left.some((each) => each.end === id && each.insulated && each.why.trim() !== '');
  for (const connector of state.connectors) {
    if (!connector.open || declared(connector.id)) continue;
    const clears = state.plan.ofKind.reseat.filter((step) => step > connector.step);
    const end = `${connector.label} at ${connector.terminal}`;
    block(ask, 'park-incomplete', 'parkLeft', { end }, clears);
  }
  state.plan.ends.forEach((end, at) => {
    if ((state.openEnds & (1 << at)) === 0 || declared(end.id)) return;
    const clears = state.plan.ofKind.close.filter((step) => state.plan.steps[step]?.end === at);
    block(ask, 'park-incomplete', 'parkLeft', { end: end.label }, clears);
  });
}

function blockUncut(ask: Collector, source: PlanSource): void {
  const { state } = ask;
  for (const at of source.points) {
    if (state.points[at] === OPEN) continue;
    const point = state.plan.points[at] as PlanPoint;
    const args = { source: source.source.label, point: point.label };
    block(ask, 'park-incomplete', 'parkIsolated', args, point.isolateSteps);
  }
}

function blockUncontrolled(ask: Collector, source: PlanSource, parkedLock: string): void {
  const { state } = ask;
  if (source.points.length === 0 || parkedLock !== '') return;
  if (state.locks.some((lock) => source.points.includes(lock.point) && lock.sure)) return;
  const clears = source.points.flatMap((at) => state.plan.points[at]?.lockSteps ?? []);
  block(ask, 'park-incomplete', 'parkControl', { source: source.source.label }, clears);
}

/** Parked usable: put together, on, its case tested since. */
export function parkUsableBlocks(state: JobState): Block[] {
  const ask: Collector = { state, blocks: [] };
  blockOpenEnds(ask, 0);
  blockLocksLeft(ask, everyPoint(state));
  blockCutPoints(ask);
  blockUntestedCases(ask);
  return ask.blocks;
}

/** Parked shut: cut at every point, under a lock, every open end insulated and covered. */
export function parkShutBlocks(
  state: JobState,
  left: readonly LeftOpen[],
  parkedLock: string,
): Block[] {
  const ask: Collector = { state, blocks: [] };
  for (const source of state.plan.sources) {
    blockUncut(ask, source);
    blockUncontrolled(ask, source, parkedLock);
  }
  blockUndeclared(ask, left);
  return ask.blocks;
}

/**
 * Refusing is never an offence, but it may not leave a trap: what was opened is closed or declared, and
 * a machine that was cut stays cut under a lock, or is back as it was found.
 */
export function refuseBlocks(state: JobState, left: readonly LeftOpen[]): Block[] {
  const ask: Collector = { state, blocks: [] };
  blockUndeclared(ask, left);
  const open = state.openEnds !== 0 || state.connectors.some((connector) => connector.open);
  for (const source of state.plan.sources) {
    const touched = source.points.some((at) => state.points[at] !== CLOSED);
    if (!touched && !(open && source.points.length > 0)) continue;
    if (open) blockUncut(ask, source);
    if (touched) blockUncontrolled(ask, source, '');
  }
  return ask.blocks;
}

/** Evidence stays as it is, but nobody is left beside open live parts. */
export function evidenceHoldBlocks(state: JobState): Block[] {
  const ask: Collector = { state, blocks: [] };
  const open = state.openEnds !== 0 || state.connectors.some((connector) => connector.open);
  if (open) for (const source of state.plan.sources) blockUncut(ask, source);
  return ask.blocks;
}

/** Handed back: every step settled, signed, nothing open, locked or cut. */
export function closeBlocks(state: JobState): Block[] {
  const ask: Collector = { state, blocks: [] };
  for (const step of state.plan.steps) {
    if (isSettled(state, step.index)) continue;
    block(ask, step.do === 'reseat' ? 'open-ends' : 'order', 'closeStep', { step: step.id }, [
      step.index,
    ]);
    break;
  }
  blockOpenEnds(ask, 0);
  blockLocksLeft(ask, everyPoint(state));
  blockCutPoints(ask);
  blockUntestedCases(ask);
  const signs = state.plan.ofKind.sign;
  if (!signs.some((step) => ((state.marks[step] ?? 0) & FRESH) !== 0)) {
    const step = state.plan.steps[signs.at(-1) ?? -1]?.id ?? 'sign';
    block(ask, 'order', 'closeStep', { step }, signs);
  }
  return ask.blocks;
}
