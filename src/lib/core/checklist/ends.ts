/** What is opened, taken off, worn or read must be put back, seated, put on or reached in the same file. */
import { hint } from './closest.ts';
import type { Draft, DraftStep } from './draft.ts';
import type { Problems } from './place.ts';

export function checkEnds(draft: Draft, problems: Problems): void {
  const lastClear = draft.steps.findLast((step) => step.do === 'clear');
  for (const step of draft.steps) {
    if (step.do === 'open') checkOpened(step, draft, lastClear, problems);
    if (step.do === 'close') checkClosed(step, draft, problems);
    if (step.do === 'disconnect') checkDisconnected(step, draft, lastClear, problems);
    if (step.do === 'reseat') checkReseated(step, draft, problems);
    if (step.do === 'contacts') checkContacts(step, draft, problems);
    if (step.do === 'window') checkWindow(step, draft, problems);
    checkWorn(step, draft, problems);
    checkTogether(step, draft, problems);
  }
}

const sameWhen = (a: DraftStep, b: DraftStep) =>
  JSON.stringify(Object.entries(a.when).toSorted()) ===
  JSON.stringify(Object.entries(b.when).toSorted());

/** A closing step must come whenever its opening step came. */
function checkPair(opening: DraftStep, closing: DraftStep, problems: Problems): void {
  const key = Object.keys(closing.when).length > 0 ? 'when' : 'optional';
  if ((key === 'when' && sameWhen(opening, closing)) || (key === 'optional' && !closing.optional))
    return;
  const says = `${closing.id} ends what ${opening.id} began, so it can never be left out when that was done; take ${key} away.`;
  problems.atKey([...closing.path, key], says);
}

function checkOpened(
  step: DraftStep,
  draft: Draft,
  clear: DraftStep | undefined,
  problems: Problems,
) {
  const closing = draft.steps.find(
    (other) => other.do === 'close' && other.end === step.end && other.index > step.index,
  );
  if (closing === undefined) {
    problems.atValue(
      [...step.path, 'end'],
      `${step.id} opens ${step.end} and no later step closes it.`,
    );
    return;
  }
  checkPair(step, closing, problems);
  if (clear && closing.index > clear.index && step.index < clear.index) {
    const says = `${closing.id} comes after ${clear.id}; everything is closed before the roll is called.`;
    problems.atKey([...closing.path, 'do'], says);
  }
}

function checkClosed(step: DraftStep, draft: Draft, problems: Problems): void {
  const opened = draft.steps.some(
    (other) => other.do === 'open' && other.end === step.end && other.index < step.index,
  );
  if (!opened) {
    problems.atValue(
      [...step.path, 'end'],
      `${step.id} closes ${step.end}, which no step above opens.`,
    );
  }
}

function checkDisconnected(
  step: DraftStep,
  draft: Draft,
  clear: DraftStep | undefined,
  problems: Problems,
): void {
  const reseat = draft.steps.find((other) => other.do === 'reseat' && other.index > step.index);
  if (reseat === undefined) {
    problems.atKey(
      [...step.path, 'do'],
      `${step.id} takes connectors off and no later step reseats them.`,
    );
    return;
  }
  checkPair(step, reseat, problems);
  if (clear && reseat.index > clear.index && step.index < clear.index) {
    const says = `${reseat.id} comes after ${clear.id}; every connector is back before the roll is called.`;
    problems.atKey([...reseat.path, 'do'], says);
  }
}

function checkReseated(step: DraftStep, draft: Draft, problems: Problems): void {
  if (!draft.steps.some((other) => other.do === 'disconnect' && other.index < step.index)) {
    problems.atKey(
      [...step.path, 'do'],
      `${step.id} reseats connectors that no step above takes off.`,
    );
  }
}

function checkContacts(step: DraftStep, draft: Draft, problems: Problems): void {
  const { rest, terminals } = step.raw;
  if (rest !== undefined && terminals !== 2) {
    problems.atKey(
      [...step.path, 'rest'],
      'Only a part of two terminals is told by rest; take this key away.',
    );
  }
  if (step.raw.inPlace === true) return;
  const before = draft.steps
    .slice(0, step.index)
    .findLast(({ do: kind }) => kind === 'disconnect' || kind === 'reseat');
  if (before?.do === 'disconnect') return;
  const says = `${step.id} reads a part with its wires still on; add a disconnect step above it, or say inPlace: true.`;
  problems.atKey([...step.path, 'do'], says);
}

function checkWindow(step: DraftStep, draft: Draft, problems: Problems): void {
  step.allows.forEach((id, at) => {
    const path = [...step.path, 'allows', at];
    const reading = draft.steps.find((other) => other.id === id);
    if (reading === undefined) return;
    if (reading.do !== 'reading') {
      problems.atValue(
        path,
        `${id} does “${reading.do}”; only readings may be taken in a live window.`,
      );
    } else if (reading.index < step.index || reading.phase !== step.phase) {
      problems.atValue(path, `${id} must come after ${step.id}, in the same phase.`);
    }
    if (reading.exposes.length > 0) {
      const says = `${id} exposes a person and is allowed in the live window ${step.id}; nothing is touched while it is open.`;
      problems.atKey([...reading.path, 'exposes'], says);
    }
  });
  step.stillOpen.forEach((end, at) => {
    const open = draft.steps
      .slice(0, step.index)
      .findLast((other) => (other.do === 'open' || other.do === 'close') && other.end === end);
    if (open?.do !== 'open' && draft.ends.includes(end)) {
      problems.atValue(
        [...step.path, 'stillOpen', at],
        `${end} is not open when ${step.id} comes.`,
      );
    }
  });
}

/** What must be worn was put on, and what must be off was taken off, by the last step that speaks of it. */
function checkWorn(step: DraftStep, draft: Draft, problems: Problems): void {
  const earlier = draft.steps.slice(0, step.index).filter(({ do: kind }) => kind === 'wear');
  const known = [...new Set(earlier.flatMap(({ on, off }) => [...on, ...off]))];
  for (const key of ['wearing', 'bare'] as const) {
    step[key].forEach((item, at) => {
      const last = earlier.findLast(({ on, off }) => on.includes(item) || off.includes(item));
      const right = key === 'wearing' ? last?.on.includes(item) : last?.off.includes(item);
      if (right === true) return;
      const list = key === 'wearing' ? 'on' : 'off';
      const says =
        last === undefined
          ? `No wear step above has “${item}” under ${list}${hint(item, known)}`
          : `${last.id} says the opposite of “${item}”; add a wear step with it under ${list} in between.`;
      problems.atValue([...step.path, key, at], says);
    });
  }
  for (const item of step.on) {
    if (step.off.includes(item)) {
      problems.atKey([...step.path, 'on'], `“${item}” cannot be put on and taken off in one step.`);
    }
  }
  if (step.do === 'wear' && step.on.length + step.off.length === 0) {
    problems.atKey(
      [...step.path, 'do'],
      `${step.id} names nothing to wear; list it under on or off.`,
    );
  }
}

function checkTogether(step: DraftStep, draft: Draft, problems: Problems): void {
  const before = draft.steps[step.index - 1];
  if (step.together === '' || before?.together === step.together) return;
  const away = draft.steps.slice(0, step.index).some(({ together }) => together === step.together);
  if (away) {
    const says = `Steps with together: ${step.together} must stand next to each other; another step parts them.`;
    problems.atValue([...step.path, 'together'], says);
  }
}
