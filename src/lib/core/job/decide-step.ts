/** Commands about one step: do it, leave it out with a reason, put a slip right. */
import { block, type Block } from './block.ts';
import type { Command } from './commands.ts';
import { stepBlocks } from './gates.ts';
import type { PlanStep } from './plan.ts';
import { readResult } from './results.ts';
import { isSettled, NOT_APPLICABLE, NOT_DONE, PART, SETTLED, type JobState } from './state.ts';
import { emit, type Turn } from './turn.ts';
import { closesOf, takesBack } from './undoing.ts';

export function findStep(turn: Turn, id: string): PlanStep | undefined {
  const at = turn.state.plan.stepIndex.get(id);
  if (at === undefined) block(turn, 'bad-input', 'unknownStep', { step: id });
  return at === undefined ? undefined : turn.state.plan.steps[at];
}

export function doStep(turn: Turn, command: Command & { command: 'do' }): void {
  const step = findStep(turn, command.step);
  if (!step) return;
  if (step.do === 'window') {
    block(turn, 'bad-input', 'windowReadBack', {}, [step.index]);
    return;
  }
  const { state } = turn;
  turn.blocks.push(...stepBlocks(state, step, command.by));
  const read = readResult(state, step, command.by, command.at.slice(0, 10), command.result);
  turn.blocks.push(...read.blocks);
  const { live, caseLive, doubt } = read;
  if (turn.blocks.length > 0) {
    const dangerous = live ?? caseLive ?? doubt;
    if (dangerous !== undefined) Object.assign(turn.kept, { result: command.result });
    Object.assign(
      turn.kept,
      live === undefined ? {} : { live },
      caseLive === undefined ? {} : { caseLive },
      doubt === undefined ? {} : { doubt },
    );
    return;
  }
  const before = state.facts[step.index];
  const firstHand = step.twice && !firstHandGiven(state, step);
  if (step.twice && !firstHand && before?.result?.option !== read.result.option) {
    const says = `${before?.by ?? ''} said “${before?.result?.option ?? ''}”: a second person says the same, or that is corrected first.`;
    block(turn, 'bad-input', 'valueBad', { says });
    return;
  }
  emit(turn, 'step.done', {
    step: step.id,
    result: read.result,
    ...(command.acted === undefined ? {} : { acted: command.acted }),
    ...(firstHand ? { part: true } : {}),
  });
  if (step.do === 'choose' && !firstHand) ruleOut(turn, step, read.result.option ?? '');
}

function firstHandGiven(state: JobState, step: PlanStep): boolean {
  return ((state.marks[step.index] ?? 0) & PART) !== 0;
}

/** Steps that a choice leaves out are recorded so, with the reason. */
function ruleOut(turn: Turn, chosen: PlanStep, option: string): void {
  const out = new Set<number>();
  for (const dependent of chosen.dependents) {
    const step = turn.state.plan.steps[dependent] as PlanStep;
    const rule = step.when.find((each) => each.step === chosen.index);
    if (rule?.options.includes(option)) continue;
    const mark = turn.state.marks[dependent] ?? 0;
    if ((mark & (SETTLED | NOT_DONE | NOT_APPLICABLE)) !== 0 || out.has(dependent)) continue;
    out.add(dependent);
    const why = `${chosen.id} is ${option}`;
    emit(turn, 'step.notDone', { step: step.id, why, applies: false });
    if (step.do === 'choose') ruleOut(turn, step, '');
    leaveClosed(turn, step, out);
  }
}

/** What was never opened is never closed: the step for it would wait for ever. */
function leaveClosed(turn: Turn, opening: PlanStep, out: ReadonlySet<number>): void {
  const { plan, marks, openEnds } = turn.state;
  if ((openEnds & (1 << opening.end)) !== 0) return;
  const isOut = (at: number) =>
    at === opening.index || out.has(at) || ((marks[at] ?? 0) & (NOT_DONE | NOT_APPLICABLE)) !== 0;
  const opens = plan.ofKind.open.filter((at) => plan.steps[at]?.end === opening.end);
  for (const at of closesOf(plan, opening)) {
    if (isOut(at) || !opens.every((open) => open > at || isOut(open))) continue;
    const why = `${plan.ends[opening.end]?.label ?? ''} was not opened`;
    emit(turn, 'step.notDone', { step: plan.steps[at]?.id ?? '', why, applies: true });
  }
}

export function leaveOut(turn: Turn, command: Command & { command: 'notDone' }): void {
  const step = findStep(turn, command.step);
  if (!step) return;
  const { state } = turn;
  if (command.why.trim() === '') block(turn, 'bad-input', 'whyMissing');
  if (step.step.optional !== true) block(turn, 'order', 'notOptional', { step: step.id });
  if (state.window !== undefined && step.within !== state.window.step) {
    block(turn, 'live-window', 'windowOpen');
  }
  const mark = state.marks[step.index] ?? 0;
  if (isSettled(state, step.index) && (mark & PART) === 0) {
    block(turn, 'order', 'alreadyDone', { step: step.id });
  } else if (step.after > state.frontier && state.frontier !== step.index) {
    const first = state.plan.steps[state.frontier] as PlanStep;
    block(turn, 'order', 'order', { step: first.id }, [first.index]);
  }
  emit(turn, 'step.notDone', { step: step.id, why: command.why, applies: true });
  leaveClosed(turn, step, new Set());
}

export function correct(turn: Turn, command: Command & { command: 'correct' }): void {
  const step = findStep(turn, command.step);
  if (!step) return;
  turn.blocks.push(...correctBlocks(turn.state, step));
  if (command.why.trim() === '') block(turn, 'bad-input', 'whyMissing');
  emit(turn, 'step.corrected', { step: step.id, why: command.why });
}

/** A slip can be put right within its phase, one at a time; a hand that moved something undoes it. */
function correctBlocks(state: JobState, step: PlanStep): Block[] {
  const ask = { state, blocks: [] as Block[] };
  const mark = state.marks[step.index] ?? 0;
  if (state.window !== undefined) block(ask, 'live-window', 'windowOpen');
  if ((mark & (SETTLED | NOT_DONE | PART)) === 0) {
    block(ask, 'order', 'correctNothing', { step: step.id });
    return ask.blocks;
  }
  if (['open', 'disconnect', 'reseat', 'restore', 'isolate', 'window'].includes(step.do)) {
    block(ask, 'order', 'correctOpen', { step: step.id });
  }
  if (step.do === 'clear') block(ask, 'order', 'correctClear', { step: step.id });
  if (step.do === 'lock' || step.do === 'unlock') block(ask, 'order', 'correctLock');
  const undone = state.plan.steps.find(
    (later) =>
      takesBack(state.plan, later, step) && ((state.marks[later.index] ?? 0) & SETTLED) !== 0,
  );
  if (undone) block(ask, 'order', 'correctAfter', { step: step.id, later: undone.id });
  for (const dependent of step.dependents) {
    if (((state.marks[dependent] ?? 0) & (SETTLED | NOT_DONE)) === 0) continue;
    const later = state.plan.steps[dependent]?.id ?? '';
    block(ask, 'order', 'correctAfter', { step: step.id, later });
  }
  const last = lastSettled(state);
  const phase = state.plan.steps[last]?.phase ?? 0;
  if (step.phase !== phase) block(ask, 'order', 'correctPhase', { step: step.id });
  if (state.frontier < last) {
    const open = state.plan.steps[state.frontier]?.id ?? '';
    block(ask, 'order', 'correctOne', { step: open }, [state.frontier]);
  }
  return ask.blocks;
}

function lastSettled(state: JobState): number {
  for (let at = state.plan.steps.length - 1; at >= 0; at--) {
    const mark = state.marks[at] ?? 0;
    /* That something was never opened is nobody's act. */
    const own = state.plan.steps[at]?.do === 'close' ? SETTLED | PART : SETTLED | NOT_DONE | PART;
    if ((mark & own) !== 0) return at;
  }
  return -1;
}
