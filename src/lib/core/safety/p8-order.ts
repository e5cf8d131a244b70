import type { StepKind } from '../checklist/model.ts';
import type { JobEvent } from '../job/events.ts';
import { applies, isFresh, ownHold, presentPerson } from './asks.ts';
import type { BookStep } from './book.ts';
import type { Property } from './property.ts';
import { rebaseFault } from './rebase.ts';
import { BEGUN, DONE, LEFT_OUT, NOT_APPLICABLE, type Scene } from './scene.ts';

export const order: Property = {
  id: 'P8',
  name: 'order',
  says: 'No step before the steps it needs; no step twice except where its undoing allows it.',
  explains:
    'Every earlier step of the file, but for neighbours that stand together, was done or left ' +
    'out with a reason, and not taken back since: by a correction, or by its opposite (isolate ' +
    'and restore, open and close) unless the file has that opposite between the two; what had its ' +
    'place once may be done again out of it, as a lapse asks, but for a live window; what was left ' +
    'out in its place may still be said, seen or measured later. “Not ' +
    'applicable” holds while the outcome does not call for the step, and such a step is not ' +
    'done. Named needs are fresh facts; what must be worn or bare is so on the one who acts. To ' +
    'say, see or measure a thing again undoes nothing, so only acts and outcomes are done once. ' +
    'Locks and equipment are each person’s own, connectors are taken one by one, and a step for ' +
    'two hands is finished by a second person. The steps themselves change only with a newer ' +
    'revision of the list, and other steps or gates only while the machine stands as it was found.',
  check(scene, event, step) {
    if (event.type === 'window.opened') {
      if (step === undefined) return `${event.body.step} is not a step of this checklist`;
      if (scene.window !== -1) return 'a live window is open already';
      return placeFault(scene, step, event.by) ?? againFault(scene, step, event);
    }
    if (event.type === 'job.rebased' && scene.stage === 'atWork') {
      return rebaseFault(scene, event.body);
    }
    if (event.type !== 'step.done') return earlyFault(scene, event);
    if (scene.stage === 'notOpened') return 'the job was not opened yet';
    if (step === undefined) return `${event.body.step} is not a step of this checklist`;
    return placeFault(scene, step, event.by) ?? againFault(scene, step, event);
  },
};

/** Only the opening, and notes of the program, come before the opening. */
function earlyFault(scene: Scene, event: JobEvent): string | null {
  if (scene.stage !== 'notOpened') return null;
  switch (event.type) {
    case 'job.opened':
    case 'program.noted':
    case 'clock.noted':
    case 'key.rotated':
    case 'try.refused':
      return null;
    default:
      return 'the job was not opened yet';
  }
}

function placeFault(scene: Scene, step: BookStep, by: string): string | null {
  // What was done in its place once is done again wherever a lapse asks for it; what was left out there
  // may still be said, seen or measured, which undoes nothing.
  const had = STATEMENTS.has(step.do) ? DONE | LEFT_OUT : DONE;
  const again = step.do !== 'window' && ((scene.steps[step.index] ?? 0) & had) !== 0;
  for (let index = 0; index < step.first && !again; index += 1) {
    const earlier = scene.book.steps[index];
    if (earlier !== undefined && !isBehind(scene, earlier, step)) {
      return `${earlier.id} comes before ${step.id}`;
    }
  }
  if (!applies(scene, step)) return `${step.id} does not apply to the outcome that was chosen`;
  for (const index of step.needs) {
    const needed = scene.book.steps[index];
    if (needed !== undefined && !isMet(scene, needed, by)) {
      return `${step.id} needs ${needed.id}, which is not fresh`;
    }
  }
  return wornFault(scene, step, by);
}

/** Whether an earlier step needs nothing more before the later one. */
function isBehind(scene: Scene, earlier: BookStep, later: BookStep): boolean {
  const marks = scene.steps[earlier.index] ?? 0;
  if ((marks & DONE) !== 0 && !earlier.undoable) return true;
  if ((marks & LEFT_OUT) !== 0) return true;
  if ((marks & NOT_APPLICABLE) !== 0 && !applies(scene, earlier)) return true;
  if (earlier.do === 'reseat' && (marks & DONE) === 0) {
    return scene.connectors.every((connector) => !connector.open);
  }
  if ((marks & DONE) === 0) return false;
  return earlier.nextInverse < later.index || !isUndone(scene, earlier);
}

function isUndone(scene: Scene, step: BookStep): boolean {
  switch (step.do) {
    case 'isolate':
      return scene.points[step.point] === 'closed';
    case 'restore':
      return scene.points[step.point] === 'open';
    case 'open':
      return scene.ends[step.end] === false;
    case 'close':
      return scene.ends[step.end] === true;
    default:
      return false;
  }
}

function isMet(scene: Scene, needed: BookStep, by: string): boolean {
  const marks = scene.steps[needed.index] ?? 0;
  if ((marks & NOT_APPLICABLE) !== 0 && !applies(scene, needed)) return true;
  return isFresh(scene, needed, by);
}

function wornFault(scene: Scene, step: BookStep, by: string): string | null {
  if (step.wearing.length === 0 && step.bare.length === 0) return null;
  const worn = presentPerson(scene, by)?.worn ?? [];
  const facts = worn.flatMap((index) => scene.book.steps[index] ?? []);
  const missing = step.wearing.find((thing) => !facts.some((fact) => fact.on.includes(thing)));
  if (missing !== undefined) return `${step.id} needs ${missing} on`;
  const on = step.bare.find((thing) =>
    scene.book.takenOff.has(thing)
      ? !facts.some((fact) => fact.off.includes(thing))
      : facts.some((fact) => fact.on.includes(thing)),
  );
  return on === undefined ? null : `${step.id} needs ${on} off`;
}

type StepDone = Extract<JobEvent, { type: 'step.done' }>;
type Act = StepDone | Extract<JobEvent, { type: 'window.opened' }>;

/** A step done twice, though nothing undid it. */
function againFault(scene: Scene, step: BookStep, event: Act): string | null {
  const again = `${step.id} was done already and nothing undid it`;
  if (event.type === 'window.opened') return isFresh(scene, step, event.by) ? again : null;
  const marks = scene.steps[step.index] ?? 0;
  const { result, part } = event.body;
  switch (step.do) {
    case 'lock':
      return ownHold(scene, step.point, event.by)?.sure === true ? again : null;
    case 'unlock':
      // Whether there is a lock to take off is asked by P4.
      return null;
    case 'disconnect':
      return disconnectFault(scene, result.connectors ?? [], (marks & (DONE | BEGUN)) !== 0);
    case 'reseat':
      return scene.connectors.some((one) => one.id === result.connector && one.open)
        ? null
        : `${result.connector ?? 'a connector'} is not one that was recorded as open`;
    case 'close':
      return (marks & DONE) !== 0 && scene.ends[step.end] === false ? again : null;
    case 'restore':
      return (marks & DONE) !== 0 && scene.points[step.point] === 'closed' ? again : null;
    default:
      break;
  }
  if (isFresh(scene, step, event.by) && !STATEMENTS.has(step.do)) return again;
  return step.twice ? secondHandFault(scene, step, event.by, part === true) : null;
}

/**
 * Saying, seeing or measuring a thing again undoes nothing: only acts and outcomes are done once.
 */
const STATEMENTS: ReadonlySet<StepKind> = new Set<StepKind>([
  'confirm',
  'tell',
  'wear',
  'photo',
  'find',
  'case',
  'reading',
  'contacts',
  'release',
  'prove',
  'clear',
]);

function disconnectFault(
  scene: Scene,
  connectors: readonly { readonly id: string }[],
  begun: boolean,
): string | null {
  const ids = connectors.map((connector) => connector.id);
  if (new Set(ids).size !== ids.length) return 'one connector was recorded twice';
  const open = scene.connectors.find((one) => one.open && begun && ids.includes(one.id));
  return open === undefined ? null : `${open.id} was disconnected already`;
}

function secondHandFault(scene: Scene, step: BookStep, by: string, part: boolean): string | null {
  const first = scene.halves.find((half) => half.step === step.index);
  if (first === undefined) return part ? null : `${step.id} wants a second person`;
  if (first.by === by) return `${step.id} wants a second person, not ${by} twice`;
  return part ? `${step.id} has its first hand already` : null;
}
