/**
 * Diagnosis as bookkeeping of suspicion: which parts may still be at fault, which test to make next,
 * and whether a part may be ordered.
 *
 * The data is the checklist's own `suspects` (see `Suspect` in the checklist model):
 *
 *     suspects:
 *       lock-motor:
 *         label: Lock motor
 *         cost: 3                              # relative; the dearer part waits for the cheaper ones
 *         clearedBy: {motor-ohms: [pass]}      # step id: outcomes that clear
 *         blamedBy: {motor-ohms: [fail]}
 *       board:
 *         label: Electronic control board
 *         cost: 9
 *         part: notReturnable
 *         blamedBy: {board-output: [absent]}
 *
 * Outcomes: a reading gives `pass`, `fail` or `cannotTell`; contacts give `healthy`, `faulty` or `unclear`
 * and the code of the pattern; `choose` gives the option; anything else done gives `done`.
 *
 * One blaming outcome blames. A suspect is cleared when every applicable step of its `clearedBy` came out
 * clearing. A reading taken in circuit settles nothing. Clearing and blaming at once leaves it open.
 */
import type { Checklist, Step, Suspect } from '../checklist/model.ts';
import type { ContactsVerdict } from './contacts.ts';
import type { ReadingVerdict } from './verdict.ts';

export type Suspects = Readonly<Record<string, Suspect>>;

/** What one step came to; of several for one step the last counts. */
export interface Finding {
  readonly step: string;
  readonly outcomes: readonly string[];
  /** Taken with other wires on: cannot close a diagnosis. */
  readonly inPlace?: boolean;
}

/** A step that can settle something. */
export interface Test {
  readonly step: string;
  readonly minutes: number;
  /** Only inside a live window. */
  readonly live: boolean;
}

export type Standing = 'open' | 'cleared' | 'blamed' | 'contradicted';

export interface SuspectStanding {
  readonly id: string;
  readonly label: string;
  readonly standing: Standing;
  /** The steps that led to it. */
  readonly because: readonly string[];
}

export interface NextTest extends Test {
  /** Suspects still open on which it has a say. */
  readonly about: readonly string[];
}

export interface Diagnosis {
  readonly suspects: readonly SuspectStanding[];
  /** Ids not cleared, blamed first. */
  readonly remaining: readonly string[];
  readonly next: NextTest | null;
}

/** The outcome words of a judged reading. */
export function readingOutcomes(verdict: Pick<ReadingVerdict, 'verdict'>): string[] {
  return [verdict.verdict];
}

/** Patterns that speak of the labels or the probes, not of the part. */
const unclearCodes: ReadonlySet<string> = new Set([
  'reversed',
  'reversed-nc-dead',
  'reversed-no-dead',
  'reversed-no-welded',
  'contradictory',
  'both-break',
  'both-make',
  'unusable',
]);

/** The outcome words of judged contacts: `healthy`, `faulty` or `unclear`, then the code. */
export function contactsOutcomes(verdict: Pick<ContactsVerdict, 'code' | 'healthy'>): string[] {
  if (verdict.healthy) return ['healthy'];
  return [unclearCodes.has(verdict.code) ? 'unclear' : 'faulty', verdict.code];
}

/** The state of suspicion after these findings. `tests` are those that apply to this job. */
export function diagnose(
  suspects: Suspects,
  findings: readonly Finding[],
  tests: readonly Test[],
): Diagnosis {
  const found = new Map<string, Finding>();
  for (const finding of findings) found.set(finding.step, finding);
  const applicable = new Set([...tests.map(({ step }) => step), ...found.keys()]);
  const standings = Object.entries(suspects).map(([id, suspect]) =>
    standingOf(id, suspect, found, applicable),
  );
  const blamed = standings.filter(({ standing }) => standing === 'blamed');
  const open = standings.filter(
    ({ standing }) => standing === 'open' || standing === 'contradicted',
  );
  return {
    suspects: standings,
    remaining: [...blamed, ...open].map(({ id }) => id),
    next: nextTest(suspects, open, found, tests),
  };
}

function standingOf(
  id: string,
  suspect: Suspect,
  found: ReadonlyMap<string, Finding>,
  applicable: ReadonlySet<string>,
): SuspectStanding {
  const blaming = Object.entries(suspect.blamedBy ?? {}).filter(([step, outcomes]) =>
    cameOut(found.get(step), outcomes),
  );
  const clearing = Object.entries(suspect.clearedBy ?? {}).filter(([step]) => applicable.has(step));
  const cleared = clearing.filter(([step, outcomes]) => cameOut(found.get(step), outcomes));
  const allClear = clearing.length > 0 && cleared.length === clearing.length;
  const steps = (rows: readonly (readonly [string, readonly string[]])[]) =>
    rows.map(([step]) => step);
  const base = { id, label: suspect.label };
  if (blaming.length > 0) {
    return allClear
      ? { ...base, standing: 'contradicted', because: [...steps(blaming), ...steps(cleared)] }
      : { ...base, standing: 'blamed', because: steps(blaming) };
  }
  return { ...base, standing: allClear ? 'cleared' : 'open', because: steps(cleared) };
}

function cameOut(finding: Finding | undefined, outcomes: readonly string[]): boolean {
  if (finding === undefined || finding.inPlace === true) return false;
  return finding.outcomes.some((outcome) => outcomes.includes(outcome));
}

/**
 * The cheapest test that has a say on a suspect still open: dead before live, then the least minutes for
 * each suspect it speaks of, then checklist order. One that came out without settling is offered last.
 */
function nextTest(
  suspects: Suspects,
  open: readonly SuspectStanding[],
  found: ReadonlyMap<string, Finding>,
  tests: readonly Test[],
): NextTest | null {
  let best: NextTest | null = null;
  let bestRank: readonly number[] = [];
  for (const test of tests) {
    const about = open.filter(({ id }) => speaksOf(suspects[id], test.step)).map(({ id }) => id);
    if (about.length === 0) continue;
    const again = found.has(test.step) ? 1 : 0;
    const rank = [again, test.live ? 1 : 0, test.minutes / about.length];
    if (best === null || before(rank, bestRank)) {
      best = { ...test, about };
      bestRank = rank;
    }
  }
  return best;
}

function speaksOf(suspect: Suspect | undefined, step: string): boolean {
  return suspect?.clearedBy?.[step] !== undefined || suspect?.blamedBy?.[step] !== undefined;
}

function before(a: readonly number[], b: readonly number[]): boolean {
  for (const [index, value] of a.entries()) {
    const other = b[index] ?? 0;
    if (value !== other) return value < other;
  }
  return false;
}

export interface OrderAnswer {
  readonly held: boolean;
  readonly code: 'may-order' | 'unknown-suspect' | 'not-blamed' | 'cheaper-open' | 'cheaper-blamed';
  readonly says: string;
  /** Suspects that it waits for. */
  readonly waitsFor: readonly string[];
}

/**
 * Whether the part behind a suspect may be ordered: a reading blames it, and every cheaper suspect has a
 * verdict. A part that cannot be returned also waits until no cheaper one is blamed.
 */
export function mayOrder(suspects: Suspects, diagnosis: Diagnosis, id: string): OrderAnswer {
  const suspect = suspects[id];
  const standing = diagnosis.suspects.find((each) => each.id === id);
  if (suspect === undefined || standing === undefined) {
    return held('unknown-suspect', `“${id}” is not a suspect of this checklist.`, []);
  }
  const cheaper = diagnosis.suspects.filter(
    (each) => each.id !== id && costOf(suspects[each.id]) < costOf(suspect),
  );
  const unsettled = cheaper.filter(({ standing: is }) => is === 'open' || is === 'contradicted');
  if (unsettled.length > 0) {
    const says = `${suspect.label} waits for cheaper suspects without a verdict: ${labels(unsettled)}.`;
    return held('cheaper-open', says, unsettled);
  }
  const blamed = cheaper.filter(({ standing: is }) => is === 'blamed');
  if (suspect.part === 'notReturnable' && blamed.length > 0) {
    const says = `${suspect.label} cannot be returned, and a cheaper part is blamed: replace ${labels(blamed)} first and test again.`;
    return held('cheaper-blamed', says, blamed);
  }
  if (standing.standing !== 'blamed') {
    return held('not-blamed', `No reading blames ${suspect.label} yet.`, [standing]);
  }
  const warning =
    suspect.part === 'notReturnable'
      ? ' It usually cannot be returned: tell the customer first.'
      : '';
  return {
    held: false,
    code: 'may-order',
    says: `${suspect.label} may be ordered.${warning}`,
    waitsFor: [],
  };
}

function held(
  code: Exclude<OrderAnswer['code'], 'may-order'>,
  says: string,
  waitsFor: readonly SuspectStanding[],
): OrderAnswer {
  return { held: true, code, says, waitsFor: waitsFor.map(({ id }) => id) };
}

function labels(standings: readonly SuspectStanding[]): string {
  return standings.map(({ label }) => label).join(', ');
}

function costOf(suspect: Suspect | undefined): number {
  return suspect?.cost ?? 1;
}

/** Minutes taken for a test whose step says nothing about its time. */
const usualMinutes = 5;

/**
 * The tests of a checklist: its steps that some suspect names, in order. `minutesOf` reads a step's
 * `takes`; `applies` leaves out what does not apply to this job.
 */
export function testsOf(
  checklist: Pick<Checklist, 'suspects' | 'steps'>,
  minutesOf: (takes: string) => number | null,
  applies: (step: Step) => boolean = () => true,
): Test[] {
  const suspects = Object.values(checklist.suspects ?? {});
  const live = new Set(
    checklist.steps.flatMap((step) => (step.do === 'window' ? [...step.allows] : [])),
  );
  return checklist.steps
    .filter((step) => suspects.some((suspect) => speaksOf(suspect, step.id)) && applies(step))
    .map((step) => ({
      step: step.id,
      minutes: (step.takes === undefined ? null : minutesOf(step.takes)) ?? usualMinutes,
      live: live.has(step.id),
    }));
}
