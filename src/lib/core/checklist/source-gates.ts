/** The gates of each source: found, cut, held, let go, proved dead, and its case tested before hands. */
import type { Draft, DraftPoint, DraftSource, DraftStep } from './draft.ts';
import type { StepKind } from './model.ts';
import type { Path, Problems } from './place.ts';
import { firstStep, lastStep } from './step-search.ts';

const HANDS_ON: ReadonlySet<string> = new Set<StepKind>([
  'open',
  'close',
  'disconnect',
  'reseat',
  'contacts',
  'release',
]);

/** Energies that cannot be shown gone by cutting alone. */
const STORED: ReadonlySet<string> = new Set([
  'charge',
  'thermal',
  'motion',
  'spring',
  'gravity',
  'pressure',
  'gas',
  'water',
]);

export function checkSources(draft: Draft, problems: Problems): void {
  const gates = new SourceGates(draft, problems);
  for (const source of draft.sources) gates.checkSource(source);
}

class SourceGates {
  readonly #draft: Draft;
  readonly #problems: Problems;

  constructor(draft: Draft, problems: Problems) {
    this.#draft = draft;
    this.#problems = problems;
  }

  #exposing(source: DraftSource): DraftStep | undefined {
    return this.#draft.steps.find(({ exposes }) => exposes.includes(source.id));
  }

  checkSource(source: DraftSource): void {
    const path: Path = ['sources', source.id];
    const electrical = source.kind === 'electrical';
    if (electrical && source.points.length === 0) {
      const says = `${source.id} is electrical and has no point where it is cut; name every breaker and plug under points.`;
      this.#problems.atKey(path, says);
    }
    if (electrical && source.points.length > 0 && !source.hasDead) {
      const says = `${source.id} is electrical and lacks dead: name the pairs to measure, the limit and the category.`;
      this.#problems.atKey(path, says);
    }
    if (!electrical && source.hasDead) {
      this.#problems.atKey(
        [...path, 'dead'],
        'Only an electrical source is proved dead; take this key away.',
      );
    }
    for (const point of source.points) this.#checkPoint(source, point);
    if (source.hasDead) this.#checkProof(source);
    this.#checkRelease(source);
    this.#checkOwnExposure(source);
    if (source.metal) this.#checkCase(source);
  }

  /** A step that must stand before the first step that exposes the source. */
  #before(
    exposing: DraftStep | undefined,
    step: DraftStep | undefined,
    missing: string,
    path: Path,
  ) {
    if (step === undefined) {
      this.#problems.atKey(path, missing);
    } else if (exposing !== undefined && step.index > exposing.index) {
      const says = `${step.id} comes after ${exposing.id}, which already exposes ${String(path[1])}; move ${step.id} up.`;
      this.#problems.atKey([...step.path, 'do'], says);
    }
  }

  #checkPoint(source: DraftSource, point: DraftPoint): void {
    const path: Path = ['sources', source.id, 'points', point.id];
    const exposing = this.#exposing(source);
    const isolate = firstStep(this.#draft, 'isolate', source, point);
    const lock = firstStep(this.#draft, 'lock', source, point);
    const at = `${source.id} at ${point.id}`;
    this.#before(
      exposing,
      isolate,
      `No step isolates ${at}; every point is cut, not any of them.`,
      path,
    );
    if (point.by === 'breaker') {
      const find = firstStep(this.#draft, 'find', source, point);
      if (find === undefined) {
        this.#problems.atKey(
          path,
          `No step finds ${at}; a breaker is found by its load before it is switched.`,
        );
      } else if (isolate && find.index > isolate.index) {
        this.#problems.atKey(
          [...find.path, 'do'],
          `${find.id} comes after ${isolate.id}; a breaker is found before it is switched.`,
        );
      }
    }
    if (point.control !== 'exclusive') {
      this.#before(exposing, lock, `No step locks ${at}; a ${point.control} needs one.`, path);
      if (lock && isolate && lock.index < isolate.index) {
        this.#problems.atKey(
          [...lock.path, 'do'],
          `${lock.id} comes before ${isolate.id}; a point is locked once it is cut.`,
        );
      }
    } else if (lock) {
      this.#problems.atKey(
        [...lock.path, 'do'],
        `${point.id} is under exclusive control and takes no lock; say control: lock if it does.`,
      );
    }
  }

  #checkProof(source: DraftSource): void {
    const path: Path = ['sources', source.id];
    const prove = firstStep(this.#draft, 'prove', source);
    this.#before(
      this.#exposing(source),
      prove,
      `No step proves ${source.id} dead, though it says how.`,
      path,
    );
    if (prove === undefined) return;
    for (const point of source.points) {
      for (const kind of ['isolate', 'lock'] as const) {
        const late = firstStep(this.#draft, kind, source, point);
        if (late && late.index > prove.index) {
          const says = `${prove.id} comes before ${late.id}; ${source.id} is proved dead once every point is cut and held.`;
          this.#problems.atKey([...prove.path, 'do'], says);
        }
      }
    }
  }

  #checkRelease(source: DraftSource): void {
    const path: Path = ['sources', source.id];
    const exposing = this.#exposing(source);
    const release = firstStep(this.#draft, 'release', source);
    if (source.release !== '') {
      this.#before(exposing, release, `No step releases ${source.id}, though it says how.`, path);
    } else if (release) {
      this.#problems.atKey(
        [...release.path, 'do'],
        `${source.id} does not say how it is let go; give it a release.`,
      );
    } else if (exposing && STORED.has(source.kind) && source.points.length === 0) {
      const says = `${exposing.id} exposes a person to ${source.id}, and nothing cuts it or lets it go; give it points or a release.`;
      this.#problems.atKey(path, says);
    }
  }

  /** What makes a source harmless cannot wait for it to be harmless. */
  #checkOwnExposure(source: DraftSource): void {
    for (const step of this.#draft.steps) {
      const frees = step.do === 'release' || step.do === 'prove' || step.do === 'isolate';
      if (frees && step.source === source.id && step.exposes.includes(source.id)) {
        const says = `${step.id} would wait for itself: it makes ${source.id} harmless; take ${source.id} out of exposes.`;
        this.#problems.atKey([...step.path, 'exposes'], says);
      }
    }
  }

  #checkCase(source: DraftSource): void {
    const path: Path = ['sources', source.id, 'case'];
    const test = firstStep(this.#draft, 'case', source);
    const hands = this.#draft.steps.find((step) => this.#isHandsOn(step));
    if (test === undefined) {
      this.#problems.atKey(
        path,
        `The case of ${source.id} is metal and no step tests it before hands touch it.`,
      );
      return;
    }
    if (hands && hands.index < test.index) {
      this.#problems.atKey(
        [...test.path, 'do'],
        `${test.id} comes after ${hands.id}, where hands are already on the metal; move it up.`,
      );
    }
    const restored = lastStep(this.#draft, 'restore', source);
    const again = lastStep(this.#draft, 'case', source);
    if (restored && again && again.index < restored.index) {
      const says = `After ${restored.id} the case of ${source.id} is not tested again; add a case step below it.`;
      this.#problems.atKey([...restored.path, 'do'], says);
    }
  }

  #isHandsOn(step: DraftStep): boolean {
    if (step.exposes.length > 0 || HANDS_ON.has(step.do)) return true;
    const source = this.#draft.sources.find(({ id }) => id === step.source);
    const by = source?.points.find(({ id }) => id === step.point)?.by;
    return step.do === 'isolate' && by !== undefined && by !== 'breaker';
  }
}
