/**
 * The standing gates, as far as a file alone can show that they are kept. The engine holds them in
 * any case; here the author learns that a job could get stuck, or that a gate is missing.
 *
 * Runs on a file whose names all resolve: a missing step is then really missing.
 */
import type { Draft, DraftPoint, DraftSource, DraftStep } from './draft.ts';
import type { StepKind } from './model.ts';
import type { Path, Problems } from './place.ts';

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

export function checkGates(draft: Draft, problems: Problems): void {
  const gates = new Gates(draft, problems);
  for (const source of draft.sources) gates.checkSource(source);
  gates.checkCounted();
  gates.checkRestoration();
  gates.checkSign();
  gates.checkNeverSkipped();
}

class Gates {
  readonly #draft: Draft;
  readonly #problems: Problems;

  constructor(draft: Draft, problems: Problems) {
    this.#draft = draft;
    this.#problems = problems;
  }

  #first(test: (step: DraftStep) => boolean): DraftStep | undefined {
    return this.#draft.steps.find(test);
  }

  #last(test: (step: DraftStep) => boolean): DraftStep | undefined {
    return this.#draft.steps.findLast(test);
  }

  #exposing(source: DraftSource): DraftStep | undefined {
    return this.#first(({ exposes }) => exposes.includes(source.id));
  }

  #of(kind: StepKind, source: DraftSource, point?: DraftPoint) {
    return (step: DraftStep) =>
      step.do === kind && step.source === source.id && (!point || step.point === point.id);
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
    const isolate = this.#first(this.#of('isolate', source, point));
    const lock = this.#first(this.#of('lock', source, point));
    const at = `${source.id} at ${point.id}`;
    this.#before(
      exposing,
      isolate,
      `No step isolates ${at}; every point is cut, not any of them.`,
      path,
    );
    if (point.by === 'breaker') {
      const find = this.#first(this.#of('find', source, point));
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
    const prove = this.#first(this.#of('prove', source));
    this.#before(
      this.#exposing(source),
      prove,
      `No step proves ${source.id} dead, though it says how.`,
      path,
    );
    if (prove === undefined) return;
    for (const point of source.points) {
      for (const kind of ['isolate', 'lock'] as const) {
        const late = this.#first(this.#of(kind, source, point));
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
    const release = this.#first(this.#of('release', source));
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
    const test = this.#first(this.#of('case', source));
    const hands = this.#first((step) => this.#isHandsOn(step));
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
    const restored = this.#last(this.#of('restore', source));
    const again = this.#last(this.#of('case', source));
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

  checkCounted(): void {
    const counts = this.#first((step) => step.do === 'confirm' && step.counts);
    const proof = this.#first((step) => step.do === 'prove');
    if (proof === undefined || (counts && counts.index < proof.index)) return;
    const says = `The sources are not counted before ${proof.id}; add a confirm step with counts: sources above it.`;
    this.#problems.atKey([...proof.path, 'do'], says);
  }

  checkRestoration(): void {
    const points = this.#draft.sources.flatMap((source) =>
      source.points.map((point) => ({ source, point })),
    );
    const cut = points.flatMap(({ source, point }) => {
      const isolate = this.#first(this.#of('isolate', source, point));
      const restore = this.#last(this.#of('restore', source, point));
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
    const unlock = this.#last(this.#of('unlock', source, point));
    const back = this.#first(this.#of('restore', source));
    const clear = this.#first((step) => step.do === 'clear');
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
