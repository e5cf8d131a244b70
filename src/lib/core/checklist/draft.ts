/**
 * A tolerant view of what was read, for the checks that look across the file: one wrong key must not
 * hide the other problems. Whatever has the wrong shape is left out; the schema has reported it.
 */
import {
  PHASES,
  SOURCE_KINDS,
  STEP_KINDS,
  type Phase,
  type SourceKind,
  type StepKind,
} from './model.ts';
import type { Path } from './place.ts';

export interface DraftPoint {
  readonly id: string;
  readonly by: string;
  readonly control: string;
}

export interface DraftSource {
  readonly id: string;
  readonly kind: SourceKind | '';
  readonly metal: boolean;
  readonly points: readonly DraftPoint[];
  readonly hasDead: boolean;
  readonly release: string;
  readonly nominal: string;
  readonly from: string;
}

export interface DraftStep {
  readonly index: number;
  readonly path: Path;
  readonly id: string;
  readonly do: StepKind | '';
  readonly phase: Phase | '';
  readonly source: string;
  readonly point: string;
  readonly end: string;
  readonly exposes: readonly string[];
  readonly needs: readonly string[];
  readonly when: Readonly<Record<string, readonly string[]>>;
  readonly wearing: readonly string[];
  readonly bare: readonly string[];
  readonly on: readonly string[];
  readonly off: readonly string[];
  readonly allows: readonly string[];
  readonly stillOpen: readonly string[];
  readonly options: readonly string[];
  readonly counts: boolean;
  readonly optional: boolean;
  readonly quantity: string;
  readonly together: string;
  readonly raw: Readonly<Record<string, unknown>>;
}

export interface Draft {
  readonly json: Readonly<Record<string, unknown>>;
  readonly sources: readonly DraftSource[];
  readonly ends: readonly string[];
  readonly references: readonly string[];
  readonly steps: readonly DraftStep[];
}

export const isBlock = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

const textOf = (value: unknown) => (typeof value === 'string' ? value : '');
const blockOf = (value: unknown) => (isBlock(value) ? value : {});
const textsOf = (value: unknown) =>
  Array.isArray(value) ? value.filter((item): item is string => typeof item === 'string') : [];

const oneOf = <T extends string>(value: unknown, known: readonly T[]): T | '' =>
  known.find((word) => word === value) ?? '';

function sourceOf(id: string, value: unknown): DraftSource {
  const source = blockOf(value);
  return {
    id,
    kind: oneOf(source.kind, SOURCE_KINDS),
    metal: source.case === 'metal',
    points: Object.entries(blockOf(source.points)).map(([point, each]) => ({
      id: point,
      by: textOf(blockOf(each).by),
      control: textOf(blockOf(each).control),
    })),
    hasDead: isBlock(source.dead),
    release: Object.keys(blockOf(source.release))[0] ?? '',
    nominal: textOf(source.nominal),
    from: textOf(source.from),
  };
}

function stepOf(value: unknown, index: number): DraftStep {
  const raw = blockOf(value);
  const when = Object.entries(blockOf(raw.when)).map(([id, outcome]) => [
    id,
    typeof outcome === 'string' ? [outcome] : textsOf(outcome),
  ]);
  return {
    index,
    path: ['steps', index],
    id: textOf(raw.id),
    do: oneOf(raw.do, STEP_KINDS),
    phase: oneOf(raw.phase, PHASES),
    source: textOf(raw.source),
    point: textOf(raw.point),
    end: textOf(raw.end),
    exposes: textsOf(raw.exposes),
    needs: textsOf(raw.needs),
    when: Object.fromEntries(when) as Record<string, string[]>,
    wearing: textsOf(raw.wearing),
    bare: textsOf(raw.bare),
    on: textsOf(raw.on),
    off: textsOf(raw.off),
    allows: textsOf(raw.allows),
    stillOpen: textsOf(raw.stillOpen),
    options: Object.keys(blockOf(raw.options)),
    counts: raw.counts === 'sources',
    optional: raw.optional === true,
    quantity: textOf(raw.quantity),
    together: textOf(raw.together),
    raw,
  };
}

/** Never throws; anything that is no checklist at all becomes an empty draft. */
export function draftOf(json: unknown): Draft {
  const file = blockOf(json);
  return {
    json: file,
    sources: Object.entries(blockOf(file.sources)).map(([id, value]) => sourceOf(id, value)),
    ends: Object.keys(blockOf(file.ends)),
    references: Object.keys(blockOf(file.references)),
    steps: Array.isArray(file.steps) ? file.steps.map(stepOf) : [],
  };
}

const NEEDS_POINT: ReadonlySet<string> = new Set(['find', 'isolate', 'lock', 'unlock', 'restore']);
const NEEDS_SOURCE: ReadonlySet<string> = new Set(['case', 'release', 'prove', 'window']);

/** Whether every step says what it does, and to what: only then is a missing step really missing. */
export function isReadable(draft: Draft): boolean {
  const { steps } = draft;
  return (
    steps.length > 0 &&
    steps.every((step) => {
      if (step.do === '' || step.id === '') return false;
      if (NEEDS_POINT.has(step.do)) return step.source !== '' && step.point !== '';
      if (NEEDS_SOURCE.has(step.do)) return step.source !== '';
      return (step.do !== 'open' && step.do !== 'close') || step.end !== '';
    })
  );
}
