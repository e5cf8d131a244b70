/** The checked model in short: sources, points, ends, steps and what each waits for. */
import type { Checklist, EndKind, Point, Source, Step } from './model.ts';

export interface OutlineSource {
  readonly kind: string;
  readonly label: string;
  readonly nominal?: string;
  readonly points: Readonly<Record<string, Point>>;
  /** Pairs to prove dead; empty when it is not proved so. */
  readonly pairs: readonly string[];
  /** `cool`, `discharge`, `measured`, `stated`, or `none`. */
  readonly release: string;
}

export interface OutlineStep {
  readonly id: string;
  readonly phase: string;
  readonly do: string;
  readonly say: string;
  readonly needs: readonly string[];
  readonly exposes: readonly string[];
  readonly source?: string;
  readonly point?: string;
  readonly end?: string;
  readonly when?: Step['when'];
  readonly wearing?: readonly string[];
  readonly bare?: readonly string[];
  readonly optional?: boolean;
  readonly limit?: string;
  readonly reference?: string;
  readonly review?: string;
}

export interface Outline {
  readonly ok: true;
  readonly id: string;
  readonly revision: number;
  readonly language: string;
  readonly title: string;
  readonly sha256: string;
  readonly sources: Readonly<Record<string, OutlineSource>>;
  readonly ends: Readonly<Record<string, { readonly label: string; readonly kind: EndKind }>>;
  readonly steps: readonly OutlineStep[];
  /** Steps with a figure or rule that a qualified person has yet to review. */
  readonly toReview: readonly string[];
}

function outlineSource(source: Source): OutlineSource {
  return {
    kind: source.kind,
    label: source.label,
    ...(source.nominal !== undefined && { nominal: source.nominal }),
    points: source.points ?? {},
    pairs: source.dead?.pairs ?? [],
    release: Object.keys(source.release ?? {})[0] ?? 'none',
  };
}

/** Keys of a step that stand in the outline only where the checklist has them. */
const CARRIED = [
  'source',
  'point',
  'end',
  'when',
  'wearing',
  'bare',
  'optional',
  'limit',
  'reference',
  'review',
] as const;

function outlineStep(step: Step): OutlineStep {
  const all = step as unknown as Readonly<Record<string, unknown>>;
  const carried = CARRIED.filter((key) => all[key] !== undefined).map((key) => [key, all[key]]);
  return {
    id: step.id,
    phase: step.phase,
    do: step.do,
    say: step.say,
    needs: step.needs ?? [],
    exposes: step.exposes ?? [],
    ...(Object.fromEntries(carried) as Partial<OutlineStep>),
  };
}

/** `sha256` is the identity of the checklist, in hex. */
export function outlineOf(checklist: Checklist, sha256: string): Outline {
  const { id, revision, language, title, ends } = checklist;
  return {
    ok: true,
    id,
    revision,
    language,
    title,
    sha256,
    sources: Object.fromEntries(
      Object.entries(checklist.sources).map(([name, source]) => [name, outlineSource(source)]),
    ),
    ends,
    steps: checklist.steps.map(outlineStep),
    toReview: checklist.steps.filter(({ review }) => review !== undefined).map((step) => step.id),
  };
}
