/**
 * A checklist read for the properties: every name as an index, every quantity as a number.
 *
 * Written from the format alone and shared with nobody: the engine has its own reading of the same
 * file, and a slip in one must not be a slip in the other.
 */
import { parseQuantity, type Dimension } from '../measure/quantity.ts';
import { LAPSES, STEP_KINDS } from '../checklist/model.ts';
import type {
  Checklist,
  Control,
  EndKind,
  Lapse,
  PointMeans,
  Release,
  Source,
  Step,
  StepKind,
} from '../checklist/model.ts';

const UNDOABLE: ReadonlySet<StepKind> = new Set<StepKind>(['isolate', 'restore', 'open', 'close']);

/** Shelf life of a proof on an electrical source that names none: the house's 30 minutes. */
const electricalProofMs = 30 * 60_000;

export interface BookPoint {
  readonly id: string;
  readonly source: number;
  readonly by: PointMeans;
  readonly control: Control;
  readonly label: string;
  readonly isolateSteps: readonly number[];
}

export interface BookSource {
  readonly id: string;
  readonly label: string;
  readonly electrical: boolean;
  readonly metalCase: boolean;
  readonly points: readonly number[];
  /** Volts; NaN when the file names none. */
  readonly nominal: number;
  /** What shows it dead, in volts; null when nothing does. */
  readonly dead: {
    readonly pairs: readonly string[];
    readonly below: number;
    readonly category: string;
  } | null;
  readonly release: Residual | null;
  readonly proveSteps: readonly number[];
  readonly releaseSteps: readonly number[];
  readonly caseSteps: readonly number[];
  /** Releases that are void when this source comes back: its own, and those of charges it feeds. */
  readonly fedReleases: readonly number[];
}

/** What a release of stored energy has to show. */
export interface Residual {
  /** Milliseconds after the last isolation of every feeding source; 0 when no wait is computed. */
  readonly waitMs: number;
  readonly feeders: readonly number[];
  /** The residual has to read below this SI value; null when it is stated, not measured. */
  readonly residual: { readonly dimension: Dimension; readonly below: number } | null;
}

export interface BookStep {
  readonly index: number;
  readonly id: string;
  readonly do: StepKind;
  /** Indices, or -1. */
  readonly source: number;
  readonly point: number;
  readonly end: number;
  readonly exposes: readonly number[];
  /** The first step of its `together` run; itself when it stands alone. */
  readonly first: number;
  /** Whether a later step could take it back: isolate and restore, open and close. */
  readonly undoable: boolean;
  /** The next later step of the file that does; Infinity without one. */
  readonly nextInverse: number;
  readonly needs: readonly number[];
  readonly when: readonly { readonly step: number; readonly options: readonly string[] }[];
  /** Shelf life in milliseconds; Infinity without one. */
  readonly keepsMs: number;
  readonly hands: boolean;
  readonly twice: boolean;
  readonly pairs: readonly string[];
  readonly wearing: readonly string[];
  readonly bare: readonly string[];
  readonly on: readonly string[];
  readonly off: readonly string[];
  /** Ends that a live window may leave open. */
  readonly stillOpen: readonly number[];
}

export interface Book {
  /** What it was read from: a newer revision is told as what it changes in this. */
  readonly checklist: Checklist;
  readonly sources: readonly BookSource[];
  readonly points: readonly BookPoint[];
  readonly ends: readonly {
    readonly id: string;
    readonly label: string;
    readonly kind: EndKind;
    readonly openSteps: readonly number[];
  }[];
  readonly steps: readonly BookStep[];
  readonly stepAt: ReadonlyMap<string, number>;
  readonly sourceAt: ReadonlyMap<string, number>;
  readonly endAt: ReadonlyMap<string, number>;
  readonly stepsOf: ReadonlyMap<StepKind, readonly number[]>;
  /** Releases of heat: the touch temperatures. */
  readonly coolReleases: readonly number[];
  /** Things that some wear step takes off. */
  readonly takenOff: ReadonlySet<string>;
  /** Steps whose own `keeps`, or whose source's, is stricter than the standing table. */
  readonly endedBy: ReadonlyMap<Lapse, readonly number[]>;
}

export function bookOf(checklist: Checklist): Book {
  const sourceIds = Object.keys(checklist.sources);
  const endIds = Object.keys(checklist.ends);
  const sourceAt = indexOf(sourceIds);
  const endAt = indexOf(endIds);
  const stepAt = indexOf(checklist.steps.map((step) => step.id));
  const points = pointsOf(checklist, sourceIds);
  const pointAt = indexOf(points.map((point) => `${point.source} ${point.id}`));
  const steps = checklist.steps.map((step, index): BookStep => {
    const source = 'source' in step && step.source ? (sourceAt.get(step.source) ?? -1) : -1;
    const point = 'point' in step ? (pointAt.get(`${source} ${step.point}`) ?? -1) : -1;
    const end = 'end' in step ? (endAt.get(step.end) ?? -1) : -1;
    const exposes = (step.exposes ?? []).map((id) => sourceAt.get(id) ?? -1);
    return {
      index,
      id: step.id,
      do: step.do,
      source,
      point,
      end,
      exposes,
      first: firstOfRun(checklist.steps, index),
      undoable: UNDOABLE.has(step.do),
      nextInverse: nextInverse(checklist.steps, index),
      needs: (step.needs ?? []).map((id) => stepAt.get(id) ?? -1),
      when: Object.entries(step.when ?? {}).map(([id, options]) => ({
        step: stepAt.get(id) ?? -1,
        options: typeof options === 'string' ? [options] : options,
      })),
      keepsMs: keepsOf(step, checklist),
      hands: exposes.length > 0 || isHandsOn(step.do, points[point]),
      twice: step.twice === true,
      pairs: step.do === 'case' ? (step.pairs ?? []) : [],
      wearing: step.wearing ?? [],
      bare: step.bare ?? [],
      on: step.do === 'wear' ? (step.on ?? []) : [],
      off: step.do === 'wear' ? (step.off ?? []) : [],
      stillOpen:
        step.do === 'window' ? (step.stillOpen ?? []).map((id) => endAt.get(id) ?? -1) : [],
    };
  });
  const which = (wanted: (step: BookStep) => boolean): number[] =>
    steps.filter(wanted).map((step) => step.index);
  return {
    checklist,
    sources: sourceIds.map((id, index) => sourceOf(checklist, id, index, points, which)),
    points: points.map((point, index) => ({
      ...point,
      isolateSteps: which((step) => step.do === 'isolate' && step.point === index),
    })),
    ends: endIds.map((id, index) => ({
      id,
      label: checklist.ends[id]?.label ?? id,
      kind: checklist.ends[id]?.kind ?? 'cover',
      openSteps: which((step) => step.do === 'open' && step.end === index),
    })),
    steps,
    stepAt,
    sourceAt,
    endAt,
    stepsOf: byKind(steps),
    coolReleases: which((step) => {
      const release =
        step.do === 'release' ? checklist.sources[sourceIds[step.source] ?? ''] : null;
      return release?.release !== undefined && 'cool' in release.release;
    }),
    takenOff: new Set(steps.flatMap((step) => step.off)),
    endedBy: endedBy(checklist),
  };
}

function indexOf(names: readonly string[]): Map<string, number> {
  return new Map(names.map((name, index) => [name, index]));
}

type BarePoint = Omit<BookPoint, 'isolateSteps'>;

function pointsOf(checklist: Checklist, sourceIds: readonly string[]): BarePoint[] {
  return sourceIds.flatMap((sourceId, source) =>
    Object.entries(checklist.sources[sourceId]?.points ?? {}).map(([id, point]) => ({
      id,
      source,
      by: point.by,
      control: point.control,
      label: point.label,
    })),
  );
}

function sourceOf(
  checklist: Checklist,
  id: string,
  index: number,
  points: readonly BarePoint[],
  which: (wanted: (step: BookStep) => boolean) => number[],
): BookSource {
  const source = checklist.sources[id] as Source;
  const ofKind = (kind: StepKind): number[] =>
    which((step) => step.do === kind && step.source === index);
  const ids = Object.keys(checklist.sources);
  const fed = ids.map((other) => feedersOf(checklist, other).includes(id));
  return {
    id,
    label: source.label,
    electrical: source.kind === 'electrical',
    metalCase: source.case === 'metal',
    points: points.flatMap((point, at) => (point.source === index ? [at] : [])),
    nominal: si(source.nominal),
    dead: source.dead
      ? {
          pairs: source.dead.pairs,
          below: si(source.dead.below),
          category: source.dead.category,
        }
      : null,
    release: source.release ? residualOf(checklist, id, source, source.release) : null,
    proveSteps: ofKind('prove'),
    releaseSteps: ofKind('release'),
    caseSteps: ofKind('case'),
    fedReleases: which(
      (step) => step.do === 'release' && (step.source === index || fed[step.source] === true),
    ),
  };
}

/** Which sources fill a charge: the one it names, otherwise every electrical one. */
function feedersOf(checklist: Checklist, id: string): string[] {
  const source = checklist.sources[id];
  if (!source?.release || !('discharge' in source.release)) return [];
  if (source.from !== undefined) return [source.from];
  return Object.keys(checklist.sources).filter(
    (other) => checklist.sources[other]?.kind === 'electrical',
  );
}

/**
 * Time constant R·C times ln(V0/V) (the discharge of a capacitor through a resistor), in
 * milliseconds; NaN when a quantity is missing, and NaN is never waited for long enough.
 */
function residualOf(checklist: Checklist, id: string, source: Source, release: Release): Residual {
  const ids = Object.keys(checklist.sources);
  const feeders = feedersOf(checklist, id).map((feeder) => ids.indexOf(feeder));
  if ('discharge' in release) {
    const { capacitance, bleed, below } = release.discharge;
    const ratio = Math.max(1, si(source.nominal) / si(below));
    const waitMs = si(bleed) * si(capacitance) * Math.log(ratio) * 1000;
    return { waitMs, feeders, residual: { dimension: 'voltage', below: si(below) } };
  }
  if ('cool' in release) return { waitMs: 0, feeders, residual: limitOf(release.cool.below) };
  if ('measured' in release)
    return { waitMs: 0, feeders, residual: limitOf(release.measured.below) };
  return { waitMs: 0, feeders, residual: null };
}

function limitOf(text: string): { dimension: Dimension; below: number } {
  const read = parseQuantity(text);
  // A limit that cannot be read is one that nothing is below.
  if (!read.ok) return { dimension: 'voltage', below: NaN };
  return { dimension: read.quantity.dimension, below: read.quantity.si };
}

function si(text: string | undefined): number {
  const read = parseQuantity(text ?? '');
  return read.ok ? read.quantity.si : NaN;
}

function keepsOf(step: Step, checklist: Checklist): number {
  const own = milliseconds(step.keeps?.for);
  if (step.do !== 'prove' && step.do !== 'release') return own;
  const source = checklist.sources[step.source];
  const standing =
    step.do === 'prove' && source?.kind === 'electrical' ? electricalProofMs : Infinity;
  const named = source?.keeps?.for;
  return Math.min(own, named === undefined ? standing : milliseconds(named));
}

function milliseconds(text: string | undefined): number {
  return text === undefined ? Infinity : si(text) * 1000;
}

function firstOfRun(steps: readonly Step[], index: number): number {
  const together = steps[index]?.together;
  let first = index;
  while (together !== undefined && steps[first - 1]?.together === together) first -= 1;
  return first;
}

function nextInverse(steps: readonly Step[], index: number): number {
  const step = steps[index] as Step;
  const at = steps.findIndex((later, place) => place > index && undoes(later, step));
  return at === -1 ? Infinity : at;
}

function undoes(later: Step, step: Step): boolean {
  switch (step.do) {
    case 'isolate':
      return (
        (later.do === 'restore' && later.source === step.source && later.point === step.point) ||
        (later.do === 'window' && later.source === step.source)
      );
    case 'restore':
      return later.do === 'isolate' && later.source === step.source && later.point === step.point;
    case 'open':
      return later.do === 'close' && later.end === step.end;
    case 'close':
      return later.do === 'open' && later.end === step.end;
    default:
      return false;
  }
}

/** Kinds of step that put a hand on the machine whether or not they expose it to a source (P11). */
function isHandsOn(kind: StepKind, point: BarePoint | undefined): boolean {
  switch (kind) {
    case 'isolate':
      return point?.by === 'plug';
    case 'open':
    case 'close':
    case 'disconnect':
    case 'reseat':
    case 'contacts':
    case 'release':
      return true;
    default:
      return false;
  }
}

function byKind(steps: readonly BookStep[]): ReadonlyMap<StepKind, readonly number[]> {
  const of = (kind: StepKind) => steps.filter((step) => step.do === kind).map((step) => step.index);
  return new Map(STEP_KINDS.map((kind) => [kind, of(kind)]));
}

function endedBy(checklist: Checklist): ReadonlyMap<Lapse, readonly number[]> {
  const ends = (step: Step, lapse: Lapse): boolean => {
    if (step.keeps?.unless?.includes(lapse) === true) return true;
    if (step.do !== 'prove' && step.do !== 'release') return false;
    return checklist.sources[step.source]?.keeps?.unless?.includes(lapse) === true;
  };
  const of = (lapse: Lapse) =>
    checklist.steps.flatMap((step, index) => (ends(step, lapse) ? [index] : []));
  return new Map(LAPSES.map((lapse) => [lapse, of(lapse)]));
}
