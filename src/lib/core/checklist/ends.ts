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
    checkWorn(step, draft, problems);
    checkTogether(step, draft, problems);
  }
}

const sameWhen = (a: DraftStep, b: DraftStep) =>
  JSON.stringify(Object.entries(a.when).toSorted()) ===
  JSON.stringify(Object.entries(b.when).toSorted());

/** The closing step that comes whenever the opening one came; a problem when there is none. */
function fitting(
  opening: DraftStep,
  closings: readonly DraftStep[],
  problems: Problems,
): DraftStep | undefined {
  const sure = closings.find(
    (closing) =>
      !closing.optional && (Object.keys(closing.when).length === 0 || sameWhen(opening, closing)),
  );
  const [first] = closings;
  if (sure !== undefined || first === undefined) return sure;
  const key = Object.keys(first.when).length > 0 ? 'when' : 'optional';
  const says = `${first.id} ends what ${opening.id} began, so it can never be left out when that was done; take ${key} away.`;
  problems.atKey([...first.path, key], says);
  return undefined;
}

function checkOpened(
  step: DraftStep,
  draft: Draft,
  clear: DraftStep | undefined,
  problems: Problems,
) {
  const closings = draft.steps.filter(
    (other) => other.do === 'close' && other.end === step.end && other.index > step.index,
  );
  if (closings.length === 0) {
    const says = `${step.id} opens ${step.end} and no later step closes it.`;
    problems.atValue([...step.path, 'end'], says);
    return;
  }
  const closing = fitting(step, closings, problems);
  if (clear && closing && closing.index > clear.index && step.index < clear.index) {
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
  const reseats = draft.steps.filter((other) => other.do === 'reseat' && other.index > step.index);
  if (reseats.length === 0) {
    const says = `${step.id} takes connectors off and no later step reseats them.`;
    problems.atKey([...step.path, 'do'], says);
    return;
  }
  const reseat = fitting(step, reseats, problems);
  if (clear && reseat && reseat.index > clear.index && step.index < clear.index) {
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
