/** Two revisions of a checklist, as the list of what changed; the words for it are the screen's. */
import { canonicalText } from '../record/canonical.ts';
import type { Checklist } from './model.ts';

export type Change =
  | {
      readonly kind: 'added' | 'removed';
      readonly what: Part;
      readonly id: string;
      readonly says: string;
    }
  /** A step that stands elsewhere in the order; `after` is the step above it now, empty at the top. */
  | { readonly kind: 'moved'; readonly id: string; readonly after: string }
  | {
      readonly kind: 'changed';
      readonly what: Part | 'head';
      readonly id: string;
      readonly key: string;
      /** Empty where there was nothing. */
      readonly before: string;
      readonly after: string;
    };
export type Part = 'step' | 'source' | 'end' | 'suspect' | 'reference' | 'barred';

/** A value on one line. */
function onOneLine(value: unknown): string {
  if (value === undefined || value === null) return '';
  if (Array.isArray(value)) return value.map(onOneLine).join(', ');
  if (typeof value === 'object') {
    return Object.entries(value)
      .map(([key, inner]) => `${key}: ${onOneLine(inner)}`)
      .join(', ');
  }
  return typeof value === 'string' ? value : JSON.stringify(value);
}

type Block = Readonly<Record<string, unknown>>;

function keysChanged(what: Part | 'head', id: string, before: Block, after: Block): Change[] {
  const keys = new Set([...Object.keys(before), ...Object.keys(after)]);
  return [...keys].flatMap((key): Change[] => {
    const [was, is] = [onOneLine(before[key]), onOneLine(after[key])];
    // Whatever the order of their keys: a list that is kept beside a job has them sorted.
    return canonicalText(before[key] ?? null) === canonicalText(after[key] ?? null)
      ? []
      : [{ kind: 'changed', what, id, key, before: was, after: is }];
  });
}

/** Things with names, on both sides. */
function namedChanges(
  what: Part,
  before: Readonly<Record<string, unknown>>,
  after: Readonly<Record<string, unknown>>,
): Change[] {
  const asBlock = (value: unknown): Block =>
    typeof value === 'object' && value !== null ? (value as Block) : { words: value };
  const gone = Object.keys(before).filter((id) => !(id in after));
  const come = Object.keys(after).filter((id) => !(id in before));
  const says = (value: unknown) =>
    onOneLine(asBlock(value)['label'] ?? asBlock(value)['say'] ?? value);
  return [
    ...gone.map((id): Change => ({ kind: 'removed', what, id, says: says(before[id]) })),
    ...come.map((id): Change => ({ kind: 'added', what, id, says: says(after[id]) })),
    ...Object.keys(after)
      .filter((id) => id in before)
      .flatMap((id) => keysChanged(what, id, asBlock(before[id]), asBlock(after[id]))),
  ];
}

/** The fewest steps that have to be taken out and put elsewhere to come from one order to the other. */
function movedIds(before: readonly string[], after: readonly string[]): Set<string> {
  const place = new Map(before.map((id, at) => [id, at]));
  const common = after.filter((id) => place.has(id));
  // The longest run of steps that keep their order stays; everything else moved.
  const best: number[][] = [];
  common.forEach((id, at) => {
    const own = place.get(id) ?? 0;
    let longest: number[] = [];
    for (let other = 0; other < at; other++) {
      const run = best[other] ?? [];
      if ((place.get(common[other] ?? '') ?? 0) < own && run.length > longest.length) longest = run;
    }
    best.push([...longest, at]);
  });
  const kept = best.reduce((a, b) => (b.length > a.length ? b : a), [] as number[]);
  const staying = new Set(kept.map((at) => common[at]));
  return new Set(common.filter((id) => !staying.has(id)));
}

const HEAD = [
  'id',
  'title',
  'revision',
  'issued',
  'language',
  'scope',
  'defer',
  'licensed',
] as const;

export function compareChecklists(before: Checklist, after: Checklist): Change[] {
  const head = (of: Checklist): Block =>
    Object.fromEntries([...HEAD, 'competence' as const].map((key) => [key, of[key]]));
  const byId = (of: Checklist) => Object.fromEntries(of.steps.map((step) => [step.id, step]));
  const barred = (of: Checklist) => Object.fromEntries(of.barred.map((words) => [words, words]));
  const order = after.steps.map(({ id }) => id);
  const moved = movedIds(
    before.steps.map(({ id }) => id),
    order,
  );
  return [
    ...keysChanged('head', after.id, head(before), head(after)),
    ...namedChanges('barred', barred(before), barred(after)),
    ...namedChanges('source', before.sources, after.sources),
    ...namedChanges('end', before.ends, after.ends),
    ...namedChanges('suspect', before.suspects ?? {}, after.suspects ?? {}),
    ...namedChanges('step', byId(before), byId(after)),
    ...order
      .filter((id) => moved.has(id))
      .map((id): Change => ({ kind: 'moved', id, after: order[order.indexOf(id) - 1] ?? '' })),
    ...namedChanges('reference', before.references, after.references),
  ];
}
