/** Interlocks about energy: the case before hands, props, waits, and what a proof or a reading in ohms needs. */
import { block, type Ask } from './block.ts';
import { blockUnlessControlled, blockUnlessCut, blockUnlessProven } from './energy.ts';
import type { PlanSource } from './plan.ts';
import { allPointsOpen, FRESH, isProven } from './state.ts';

function sourceOf(ask: Ask): PlanSource {
  return ask.state.plan.sources[ask.step.source] as PlanSource;
}

export function checkCase(ask: Ask): void {
  const { state } = ask;
  for (const source of state.plan.sources) {
    if (!source.metalCase) continue;
    if ((state.caseLive & (1 << source.index)) !== 0) {
      block(ask, 'case-live', 'caseLive', { source: source.source.label }, source.caseSteps);
      continue;
    }
    if (isProven(state, source.index) && allPointsOpen(state, source.index)) continue;
    if (source.caseSteps.some((step) => ((state.marks[step] ?? 0) & FRESH) !== 0)) continue;
    block(ask, 'case-unknown', 'caseUnknown', { source: source.source.label }, source.caseSteps);
  }
}

/** A raised part stays up by its prop, and a prop is only as good as its last shake. */
export function checkProps(ask: Ask): void {
  const { state } = ask;
  if (state.openEnds === 0) return;
  state.plan.ends.forEach((end, at) => {
    if (end.kind !== 'prop' || (state.openEnds & (1 << at)) === 0) return;
    const steps = state.plan.ofKind.open.filter((step) => state.plan.steps[step]?.end === at);
    if (steps.includes(ask.step.index)) return;
    if (steps.some((step) => ((state.marks[step] ?? 0) & FRESH) !== 0)) return;
    block(ask, 'stored', 'propUnsure', { end: end.label }, steps);
  });
}

export function checkWait(ask: Ask): void {
  const { state } = ask;
  const source = sourceOf(ask);
  if (source.waitMs === 0) return;
  const cutAt = state.cutAt[source.index] ?? -1;
  if (cutAt < 0) {
    for (const feed of source.fedBy) blockUnlessCut(ask, state.plan.sources[feed] as PlanSource);
    block(ask, 'wait', 'waitNotStarted', { source: source.source.label });
    return;
  }
  const remaining = cutAt + source.waitMs - state.clock.ran;
  if (remaining <= 0) return;
  ask.blocks.push({
    code: 'wait',
    key: 'wait',
    args: { source: source.source.label, seconds: Math.ceil(remaining / 1000) },
    clears: [],
    remaining,
  });
}

export function checkProve(ask: Ask): void {
  const source = sourceOf(ask);
  blockUnlessCut(ask, source);
  blockUnlessControlled(ask, source);
}

export function checkCounted(ask: Ask): void {
  const { state } = ask;
  const counting = state.plan.ofKind.confirm.filter((at) => {
    const step = state.plan.steps[at]?.step;
    return step?.do === 'confirm' && step.counts === 'sources';
  });
  if (state.counted < 0) {
    /* Without a step for it, the count comes with the proof: `results.ts` asks for it there. */
    if (counting.length > 0) block(ask, 'source-uncounted', 'sourcesUncounted', {}, counting);
  } else if (state.counted > state.plan.sources.length) {
    const args = { counted: state.counted, known: state.plan.sources.length };
    block(ask, 'source-uncounted', 'sourcesMore', args, counting);
  }
}

export function checkDeadForReading(ask: Ask): void {
  for (const at of ask.step.wantsDead) {
    blockUnlessProven(ask, ask.state.plan.sources[at] as PlanSource);
  }
}
