/**
 * A live window can open only on a machine that is put together, save the ends it names, with everyone
 * clear and every lock off: the steps for that stand above it, or it is a door that never opens.
 */
import type { Draft, DraftStep } from './draft.ts';
import type { Problems } from './place.ts';

export function checkWindows(draft: Draft, problems: Problems): void {
  for (const step of draft.steps) {
    if (step.do !== 'window') continue;
    checkAllowed(step, draft, problems);
    checkPutTogether(step, draft, problems);
    checkNobodyInTheWay(step, draft, problems);
  }
}

function checkAllowed(window: DraftStep, draft: Draft, problems: Problems): void {
  window.allows.forEach((id, at) => {
    const path = [...window.path, 'allows', at];
    const reading = draft.steps.find((other) => other.id === id);
    if (reading === undefined) return;
    if (reading.do !== 'reading') {
      const says = `${id} does “${reading.do}”; only readings may be taken in a live window.`;
      problems.atValue(path, says);
    } else if (reading.index < window.index || reading.phase !== window.phase) {
      problems.atValue(path, `${id} must come after ${window.id}, in the same phase.`);
    }
    if (reading.exposes.length > 0) {
      const says = `${id} exposes a person and is allowed in the live window ${window.id}; nothing is touched while it is open.`;
      problems.atKey([...reading.path, 'exposes'], says);
    }
  });
}

/** Whether a step may have been done in a job that comes to the window. */
function mayRun(step: DraftStep, window: DraftStep): boolean {
  return Object.entries(step.when).every(([choice, outcomes]) => {
    const chosen = window.when[choice];
    return chosen === undefined || chosen.some((outcome) => outcomes.includes(outcome));
  });
}

/** Whether a step is done in every job that comes to the window. */
function surelyRuns(step: DraftStep, window: DraftStep): boolean {
  if (step.optional) return false;
  return Object.entries(step.when).every(([choice, outcomes]) => {
    const chosen = window.when[choice];
    return chosen !== undefined && chosen.every((outcome) => outcomes.includes(outcome));
  });
}

/** The last step above the window that opens, or surely closes, what `opens` and `closes` tell. */
function lastSay(
  window: DraftStep,
  draft: Draft,
  opens: (step: DraftStep) => boolean,
  closes: (step: DraftStep) => boolean,
): DraftStep | undefined {
  return draft.steps
    .slice(0, window.index)
    .findLast(
      (step) => (opens(step) && mayRun(step, window)) || (closes(step) && surelyRuns(step, window)),
    );
}

function checkPutTogether(window: DraftStep, draft: Draft, problems: Problems): void {
  const path = [...window.path, 'do'];
  for (const end of draft.ends) {
    const last = lastSay(
      window,
      draft,
      (step) => step.do === 'open' && step.end === end,
      (step) => step.do === 'close' && step.end === end,
    );
    const at = window.stillOpen.indexOf(end);
    if (at >= 0 && last?.do !== 'open') {
      const says = `${end} is not open when ${window.id} comes.`;
      problems.atValue([...window.path, 'stillOpen', at], says);
    } else if (at < 0 && last?.do === 'open') {
      const says = `${last.id} leaves ${end} open when ${window.id} comes; close it above, or name it under stillOpen.`;
      problems.atKey(path, says);
    }
  }
  const wires = lastSay(
    window,
    draft,
    (step) => step.do === 'disconnect',
    (step) => step.do === 'reseat',
  );
  if (wires?.do === 'disconnect') {
    const says = `${wires.id} leaves connectors off when ${window.id} comes; reseat them in a step above.`;
    problems.atKey(path, says);
  }
}

function checkNobodyInTheWay(window: DraftStep, draft: Draft, problems: Problems): void {
  const path = [...window.path, 'do'];
  const above = draft.steps.slice(0, window.index);
  const clear = above.findLast((step) => step.do === 'clear' && surelyRuns(step, window));
  const exposed = above.findLast((step) => step.exposes.length > 0 && mayRun(step, window));
  if (clear === undefined || (exposed !== undefined && exposed.index > clear.index)) {
    const says = `No roll is called between the last exposed step and ${window.id}; add a clear step right above it.`;
    problems.atKey(path, says);
    return;
  }
  const source = draft.sources.find(({ id }) => id === window.source);
  for (const point of source?.points ?? []) {
    if (point.control === 'exclusive') continue;
    const unlock = above.findLast(
      (step) =>
        step.do === 'unlock' &&
        step.source === window.source &&
        step.point === point.id &&
        step.index > clear.index &&
        surelyRuns(step, window),
    );
    if (unlock === undefined) {
      const says = `The lock on ${point.id} is still there when ${window.id} comes; add an unlock step after ${clear.id}.`;
      problems.atKey(path, says);
    }
  }
}
