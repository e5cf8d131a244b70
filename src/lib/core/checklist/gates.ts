/**
 * The standing gates, as far as a file alone can show that they are kept. The engine holds them in
 * any case; here the author learns that a job could get stuck, or that a gate is missing.
 *
 * Runs on a file whose names all resolve: a missing step is then really missing.
 */
import type { Draft, DraftPoint, DraftSource, DraftStep } from './draft.ts';
import type { StepKind } from './model.ts';
import type { Problems } from './place.ts';
import { checkSources } from './source-gates.ts';
import { firstStep, lastStep } from './step-search.ts';

/** Steps that a standing gate waits for; one that could be left out would lock the job. */
const GATE_STEPS: ReadonlySet<string> = new Set<StepKind>([
  'find',
  'case',
  'isolate',
  'lock',
  'release',
  'prove',
  'clear',
  'unlock',
  'restore',
]);

export function checkGates(draft: Draft, problems: Problems): void {
  checkSources(draft, problems);
  const gates = new JobGates(draft, problems);
  gates.checkCounted();
  gates.checkRestoration();
  gates.checkSign();
  gates.checkNeverSkipped();
}

class JobGates {
  readonly #draft: Draft;
  readonly #problems: Problems;

  constructor(draft: Draft, problems: Problems) {
    this.#draft = draft;
    this.#problems = problems;
  }

  checkCounted(): void {
    const counts = this.#draft.steps.find((step) => step.do === 'confirm' && step.counts);
    const proof = this.#draft.steps.find((step) => step.do === 'prove');
    if (proof === undefined || counts === undefined || counts.index < proof.index) return;
    const says = `The sources are not counted before ${proof.id}; put ${counts.id} above it.`;
    this.#problems.atKey([...proof.path, 'do'], says);
  }

  checkRestoration(): void {
    const points = this.#draft.sources.flatMap((source) =>
      source.points.map((point) => ({ source, point })),
    );
    const cut = points.flatMap(({ source, point }) => {
      const isolate = firstStep(this.#draft, 'isolate', source, point);
      const restore = lastStep(this.#draft, 'restore', source, point);
      if (isolate === undefined) return [];
      if (restore === undefined) {
        const path = ['sources', source.id, 'points', point.id];
        this.#problems.atKey(
          path,
          `No step restores ${source.id} at ${point.id}; what is cut comes back in a step of its own.`,
        );
        return [];
      }
      this.#checkUnlock(source, point);
      return [{ point, isolate, restore }];
    });
    const backwards = cut.toSorted((a, b) => b.isolate.index - a.isolate.index);
    backwards.forEach((one, at) => {
      const sooner = backwards
        .slice(at + 1)
        .find((other) => other.restore.index < one.restore.index);
      if (sooner) {
        const says = `${sooner.restore.id} comes before ${one.restore.id}; points come back in the reverse of the order in which they were cut.`;
        this.#problems.atKey([...sooner.restore.path, 'do'], says);
      }
    });
    this.#checkRollCall(cut.map(({ restore }) => restore));
  }

  #checkUnlock(source: DraftSource, point: DraftPoint): void {
    if (point.control === 'exclusive') return;
    const unlock = lastStep(this.#draft, 'unlock', source, point);
    const back = firstStep(this.#draft, 'restore', source);
    const clear = this.#draft.steps.find((step) => step.do === 'clear');
    if (unlock && clear && unlock.index < clear.index) {
      this.#problems.atKey(
        [...unlock.path, 'do'],
        `${unlock.id} comes before ${clear.id}; locks come off once the roll was called.`,
      );
    }
    if (unlock === undefined) {
      const path = ['sources', source.id, 'points', point.id];
      this.#problems.atKey(
        path,
        `No step unlocks ${source.id} at ${point.id} before it is restored.`,
      );
    } else if (back && unlock.index > back.index) {
      this.#problems.atKey(
        [...unlock.path, 'do'],
        `${unlock.id} comes after ${back.id}; every lock is off before a point of ${source.id} comes back.`,
      );
    }
  }

  #checkRollCall(restores: readonly DraftStep[]): void {
    const first = restores.toSorted((a, b) => a.index - b.index)[0];
    if (first === undefined) return;
    const clear = this.#draft.steps.findLast(
      ({ do: kind, index }) => kind === 'clear' && index < first.index,
    );
    if (clear === undefined) {
      this.#problems.atKey(
        [...first.path, 'do'],
        `No clear step stands above ${first.id}; the roll is called before power comes back.`,
      );
      return;
    }
    const last = Math.max(...restores.map(({ index }) => index));
    for (const step of this.#draft.steps.slice(clear.index + 1, last + 1)) {
      if (step.exposes.length > 0) {
        this.#problems.atKey(
          [...step.path, 'exposes'],
          `${step.id} exposes a person after the roll was called in ${clear.id}; move it above.`,
        );
      }
    }
  }

  checkSign(): void {
    const last = this.#draft.steps.at(-1);
    if (last?.do !== 'sign') {
      this.#problems.atKey(
        last?.path ?? ['steps'],
        'The last step signs the record; add a sign step at the end.',
      );
    }
    for (const step of this.#draft.steps.slice(0, -1)) {
      if (step.do === 'sign') {
        this.#problems.atKey(
          [...step.path, 'do'],
          `${step.id} signs before the work is over; only the last step signs.`,
        );
      }
    }
  }

  /** A gate step may hang on a choice only where it repeats one that does not, as for a live window. */
  checkNeverSkipped(): void {
    for (const step of this.#draft.steps) {
      if (!GATE_STEPS.has(step.do) && step.do !== 'sign' && !step.counts) continue;
      const says = `A gate waits for ${step.id}, so it can never be left out`;
      if (step.optional) {
        this.#problems.atKey([...step.path, 'optional'], `${says}; take optional away.`);
      }
      if (Object.keys(step.when).length > 0 && !this.#isRepeat(step)) {
        this.#problems.atKey([...step.path, 'when'], `${says}; take when away.`);
      }
    }
  }

  #isRepeat(step: DraftStep): boolean {
    return this.#draft.steps.some(
      (other) =>
        other.do === step.do &&
        other.source === step.source &&
        other.point === step.point &&
        Object.keys(other.when).length === 0,
    );
  }
}
