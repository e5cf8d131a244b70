/**
 * A checklist made ready for the engine: names become indices, standing rules get their numbers.
 *
 * A plan holds nothing that the checklist does not say or the standing rules do not fix, and never
 * changes during a job. Sets of sources, ends, points and worn items are bit masks (at most 30 each).
 */
import type { Checklist, Lapse, Phase, Source, Step, StepKind } from '../checklist/model.ts';
import { PHASES, STEP_KINDS } from '../checklist/model.ts';
import { parseQuantity } from '../measure/quantity.ts';
import { dischargeSeconds } from '../measure/waits.ts';

/** A proof of dead lasts this long unless a source says less; house default of the trade reference. */
export const PROOF_KEEPS_MS = 30 * 60_000;
/** A roll call lasts this long unless its step says less: long enough to push a machine back, no more. */
export const ROLL_CALL_KEEPS_MS = 10 * 60_000;
/** A gap of the running clock that a restart leaves known enough to go on counting. */
export const KNOWN_GAP_MS = 120_000;
/** Out of sight for longer than this also ends briefings and heat readings. */
export const LONG_ABSENCE_MINUTES = 30;

export interface PlanPoint {
  readonly index: number;
  readonly id: string;
  readonly source: number;
  readonly by: string;
  readonly control: 'lock' | 'exclusive' | 'tag';
  readonly label: string;
  readonly findSteps: readonly number[];
  readonly isolateSteps: readonly number[];
  readonly lockSteps: readonly number[];
  readonly unlockSteps: readonly number[];
  readonly restoreSteps: readonly number[];
}

export interface PlanSource {
  readonly index: number;
  readonly id: string;
  readonly source: Source;
  readonly points: readonly number[];
  readonly metalCase: boolean;
  readonly electrical: boolean;
  readonly proofKeepsMs: number;
  /** The wait that a stored charge needs, in milliseconds of the running clock; 0 for none. */
  readonly waitMs: number;
  /** Sources whose isolation starts the wait. */
  readonly fedBy: readonly number[];
  readonly proveSteps: readonly number[];
  readonly releaseSteps: readonly number[];
  readonly caseSteps: readonly number[];
}

export interface PlanStep {
  readonly index: number;
  readonly id: string;
  readonly do: StepKind;
  readonly step: Step;
  readonly phase: number;
  /** Every step before this index must be settled first: all above it but its `together` neighbours. */
  readonly after: number;
  readonly needs: readonly number[];
  readonly exposes: readonly number[];
  readonly wearing: number;
  readonly bare: number;
  readonly on: number;
  readonly off: number;
  readonly source: number;
  readonly point: number;
  readonly end: number;
  readonly when: readonly { readonly step: number; readonly options: readonly string[] }[];
  /** `choose` steps: the later steps that hang on it. */
  readonly dependents: readonly number[];
  /** A second person does it too; what is a person's own anyhow (a lock, gloves) is never so. */
  readonly twice: boolean;
  readonly keepsMs: number;
  readonly unless: readonly Lapse[];
  readonly people: number;
  readonly allows: readonly number[];
  /** Ends that may stay open: those that a live window names, for it and for what leads up to it. */
  readonly stillOpen: number;
  /** For a reading inside a live window: the window's step, else -1. */
  readonly within: number;
  /** Hands on metal that a source could have made live. */
  readonly hands: boolean;
  /** Electrical sources that a reading in ohms (or of contacts) needs proved dead. */
  readonly wantsDead: readonly number[];
}

export interface Plan {
  readonly checklist: Checklist;
  readonly steps: readonly PlanStep[];
  readonly stepIndex: ReadonlyMap<string, number>;
  readonly sources: readonly PlanSource[];
  readonly sourceIndex: ReadonlyMap<string, number>;
  readonly points: readonly PlanPoint[];
  readonly ends: readonly { readonly id: string; readonly label: string; readonly kind: string }[];
  readonly endIndex: ReadonlyMap<string, number>;
  readonly items: readonly string[];
  /** Interlocks taken out on purpose, to show what breaks without them; empty in every real job. */
  readonly without: ReadonlySet<string>;
  /** Steps by kind, in file order. */
  readonly ofKind: Readonly<Record<StepKind, readonly number[]>>;
}

const HANDS: ReadonlySet<StepKind> = new Set([
  'open',
  'close',
  'disconnect',
  'reseat',
  'contacts',
  'release',
]);

/** Steps that each person does alone, or that take connectors one by one. */
const EACH_THEIR_OWN: ReadonlySet<StepKind> = new Set([
  'wear',
  'lock',
  'unlock',
  'disconnect',
  'reseat',
  'window',
  'clear',
]);

/** Milliseconds of a duration as written ("30 min"); `fallback` when absent. */
function durationMs(text: string | undefined, fallback: number): number {
  if (text === undefined) return fallback;
  const parsed = parseQuantity(text);
  return parsed.ok ? Math.round(parsed.quantity.si * 1000) : fallback;
}

/** The wait of a stored charge: the nominal voltage falling to the limit through the bleeder. */
function waitOf(source: Source): number {
  const release = source.release;
  if (!release || !('discharge' in release)) return 0;
  const { capacitance, bleed, below } = release.discharge;
  const [c, r, v] = [parseQuantity(capacitance), parseQuantity(bleed), parseQuantity(below)];
  const from = parseQuantity(source.nominal ?? '');
  if (!c.ok || !r.ok || !v.ok || !from.ok) return 0;
  const seconds = dischargeSeconds({
    from: from.quantity.si,
    to: v.quantity.si,
    tau: c.quantity.si * r.quantity.si,
  });
  return seconds.ok ? Math.max(0, Math.ceil(seconds.value * 1000)) : 0;
}

function maskOf(names: readonly string[] | undefined, index: ReadonlyMap<string, number>): number {
  let mask = 0;
  for (const name of names ?? []) mask |= 1 << (index.get(name) ?? 30);
  return mask;
}

function listOf(names: readonly string[] | undefined, index: ReadonlyMap<string, number>) {
  return (names ?? []).map((name) => index.get(name) ?? -1).filter((at) => at >= 0);
}

/** Where the run of `together` neighbours that step `at` belongs to begins. */
function stepsBefore(steps: readonly Step[], at: number): number {
  const group = steps[at]?.together;
  let start = at;
  if (group !== undefined) while (start > 0 && steps[start - 1]?.together === group) start--;
  return start;
}

function pointsOf(checklist: Checklist, sourceIds: readonly string[]): PlanPoint[] {
  const points: PlanPoint[] = [];
  const find = (kind: StepKind, source: string, point: string) =>
    checklist.steps.flatMap((step, at) =>
      step.do === kind && 'point' in step && step.point === point && step.source === source
        ? [at]
        : [],
    );
  sourceIds.forEach((sourceId, source) => {
    for (const [id, point] of Object.entries(checklist.sources[sourceId]?.points ?? {})) {
      points.push({
        index: points.length,
        id,
        source,
        by: point.by,
        control: point.control,
        label: point.label,
        findSteps: find('find', sourceId, id),
        isolateSteps: find('isolate', sourceId, id),
        lockSteps: find('lock', sourceId, id),
        unlockSteps: find('unlock', sourceId, id),
        restoreSteps: find('restore', sourceId, id),
      });
    }
  });
  return points;
}

function sourcesOf(checklist: Checklist, ids: readonly string[], points: readonly PlanPoint[]) {
  const stepsFor = (kind: StepKind, id: string) =>
    checklist.steps.flatMap((step, at) =>
      step.do === kind && 'source' in step && step.source === id ? [at] : [],
    );
  const electrical = ids.flatMap((id, at) =>
    checklist.sources[id]?.kind === 'electrical' ? [at] : [],
  );
  return ids.map((id, index): PlanSource => {
    const source = checklist.sources[id] as Source;
    const feeds = source.from === undefined ? -1 : ids.indexOf(source.from);
    return {
      index,
      id,
      source,
      points: points.filter((point) => point.source === index).map((point) => point.index),
      metalCase: source.case === 'metal',
      electrical: source.kind === 'electrical',
      proofKeepsMs: Math.min(durationMs(source.keeps?.for, PROOF_KEEPS_MS), PROOF_KEEPS_MS),
      waitMs: waitOf(source),
      fedBy: feeds >= 0 ? [feeds] : electrical,
      proveSteps: stepsFor('prove', id),
      releaseSteps: stepsFor('release', id),
      caseSteps: stepsFor('case', id),
    };
  });
}

interface Names {
  readonly steps: ReadonlyMap<string, number>;
  readonly sources: ReadonlyMap<string, number>;
  readonly ends: ReadonlyMap<string, number>;
  readonly items: ReadonlyMap<string, number>;
  readonly points: readonly PlanPoint[];
}

function shelfLife(step: Step, sources: Checklist['sources']): number {
  const own = durationMs(step.keeps?.for, 0);
  const standing =
    step.do === 'clear'
      ? ROLL_CALL_KEEPS_MS
      : step.do === 'prove'
        ? Math.min(durationMs(sources[step.source]?.keeps?.for, PROOF_KEEPS_MS), PROOF_KEEPS_MS)
        : step.do === 'release' && sources[step.source]?.keeps?.for
          ? durationMs(sources[step.source]?.keeps?.for, 0)
          : 0;
  return own > 0 && standing > 0 ? Math.min(own, standing) : Math.max(own, standing);
}

/** What a source says of its shelf life holds for the proof and the release of it. */
function unlessOf(step: Step, sources: Checklist['sources']): readonly Lapse[] {
  const own = step.keeps?.unless ?? [];
  if (step.do !== 'prove' && step.do !== 'release') return own;
  return [...new Set([...own, ...(sources[step.source]?.keeps?.unless ?? [])])];
}

const METERED: ReadonlySet<string> = new Set(['resistance', 'insulation', 'capacitance']);

/** Ohms on a live circuit harm the meter and the hand, and mean nothing. */
function wantsDead(
  checklist: Checklist,
  step: Step,
  source: number,
  exposes: readonly number[],
  within: number,
) {
  const metered = step.do === 'contacts' || (step.do === 'reading' && METERED.has(step.quantity));
  if (!metered || within >= 0) return [];
  const ids = Object.keys(checklist.sources);
  const provable = (at: number) => {
    const each = checklist.sources[ids[at] ?? ''];
    return each?.kind === 'electrical' && each.dead !== undefined;
  };
  const named = (source >= 0 ? [source] : exposes).filter(provable);
  return named.length > 0 ? named : ids.map((_, at) => at).filter(provable);
}

/**
 * The live window that this roll call or unlocking leads up to, or the step itself when it is one. A
 * restoration in between is what it leads up to instead, and a lock is of one source.
 */
function windowAhead(checklist: Checklist, at: number) {
  const step = checklist.steps[at];
  if (step?.do === 'window') return step;
  if (step?.do !== 'clear' && step?.do !== 'unlock') return undefined;
  const next = checklist.steps
    .slice(at + 1)
    .find((later) => later.do === 'window' || later.do === 'restore');
  if (next?.do !== 'window') return undefined;
  return step.do === 'clear' || step.source === next.source ? next : undefined;
}

function stepOf(checklist: Checklist, step: Step, index: number, names: Names): PlanStep {
  const source = 'source' in step && step.source ? (names.sources.get(step.source) ?? -1) : -1;
  const pointId = 'point' in step ? step.point : undefined;
  const point = names.points.findIndex((each) => each.source === source && each.id === pointId);
  const exposes = listOf(step.exposes, names.sources);
  const when = Object.entries(step.when ?? {}).flatMap(([id, options]) => {
    const at = names.steps.get(id);
    return at === undefined ? [] : [{ step: at, options: [options].flat() as string[] }];
  });
  const within = checklist.steps.findIndex(
    (other) => other.do === 'window' && other.allows.includes(step.id),
  );
  return {
    index,
    id: step.id,
    do: step.do,
    step,
    phase: PHASES.indexOf(step.phase as Phase),
    after: stepsBefore(checklist.steps, index),
    needs: listOf(step.needs, names.steps),
    exposes,
    wearing: maskOf(step.wearing, names.items),
    bare: maskOf(step.bare, names.items),
    on: step.do === 'wear' ? maskOf(step.on, names.items) : 0,
    off: step.do === 'wear' ? maskOf(step.off, names.items) : 0,
    source,
    point,
    end: 'end' in step ? (names.ends.get(step.end) ?? -1) : -1,
    when,
    dependents: checklist.steps.flatMap((other, at) => (other.when?.[step.id] ? [at] : [])),
    twice: step.twice === true && !EACH_THEIR_OWN.has(step.do),
    keepsMs: shelfLife(step, checklist.sources),
    unless: unlessOf(step, checklist.sources),
    people: step.people ?? 1,
    allows: step.do === 'window' ? listOf(step.allows, names.steps) : [],
    stillOpen: maskOf(windowAhead(checklist, index)?.stillOpen, names.ends),
    within,
    wantsDead: wantsDead(checklist, step, source, exposes, within),
    hands:
      HANDS.has(step.do) ||
      exposes.length > 0 ||
      (step.do === 'isolate' && names.points[point]?.by === 'plug'),
  };
}

/** Compiles a checked checklist. Invariant: the loader has refused what does not resolve. */
export function planOf(checklist: Checklist, without: readonly string[] = []): Plan {
  const sourceIds = Object.keys(checklist.sources);
  const endIds = Object.keys(checklist.ends);
  const items = [
    ...new Set(
      checklist.steps.flatMap((step) => [
        ...(step.do === 'wear' ? [...(step.on ?? []), ...(step.off ?? [])] : []),
        ...(step.wearing ?? []),
        ...(step.bare ?? []),
      ]),
    ),
  ];
  const index = (ids: readonly string[]) => new Map(ids.map((id, at) => [id, at]));
  const points = pointsOf(checklist, sourceIds);
  const names: Names = {
    steps: index(checklist.steps.map((step) => step.id)),
    sources: index(sourceIds),
    ends: index(endIds),
    items: index(items),
    points,
  };
  const steps = checklist.steps.map((step, at) => stepOf(checklist, step, at, names));
  const ofKind = Object.fromEntries(
    STEP_KINDS.map((kind) => [
      kind,
      steps.filter((step) => step.do === kind).map((step) => step.index),
    ]),
  ) as unknown as Record<StepKind, readonly number[]>;
  return {
    checklist,
    steps,
    stepIndex: names.steps,
    sources: sourcesOf(checklist, sourceIds, points),
    sourceIndex: names.sources,
    points,
    ends: endIds.map((id) => ({
      id,
      label: checklist.ends[id]?.label ?? id,
      kind: checklist.ends[id]?.kind ?? 'cover',
    })),
    endIndex: names.ends,
    items,
    without: new Set(without),
    ofKind,
  };
}
