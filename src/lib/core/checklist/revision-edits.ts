/**
 * What turns one revision of a checklist into the next, as a short list of places and new values: small
 * enough to stand in one entry of a record, so that a job that goes over to a newer revision carries
 * the whole of it and needs no second file beside it.
 *
 * Steps are addressed by id, not by number, so that a step put in between stays one edit.
 */
import { canonicalBytes, canonicalText } from '../record/canonical.ts';

/** One place of the checklist, and what stands there now; without `to` it is gone. */
export interface RevisionEdit {
  /** Names from the outside in, such as `['steps', 'dead', 'say']`; steps by id. */
  readonly at: readonly string[];
  /** Any value that a checklist can hold. */
  readonly to?: unknown;
}

type Block = Readonly<Record<string, unknown>>;

/** Stands for the order of the steps; no step can have this id, since ids are kebab-case. */
const ORDER = 'ORDER';

const isBlock = (value: unknown): value is Block =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

const idOf = (step: unknown): string => (isBlock(step) ? String(step['id']) : '');

/** The steps by id, and their order beside them; null when two share an id or one has none. */
function keyed(json: unknown): Block | null {
  if (!isBlock(json) || !Array.isArray(json['steps'])) return null;
  const steps = json['steps'] as readonly unknown[];
  const order = steps.map(idOf);
  if (new Set(order).size !== order.length || order.includes(ORDER)) return null;
  const byId = Object.fromEntries(steps.map((step) => [idOf(step), step]));
  return { ...json, steps: { [ORDER]: order, ...byId } };
}

/** Back to a list of steps; null when the order and the steps do not fit each other. */
function listed(block: Block): unknown {
  const steps = block['steps'];
  if (!isBlock(steps)) return null;
  const order = steps[ORDER];
  if (!Array.isArray(order)) return null;
  const ids = order as readonly unknown[];
  const fits =
    ids.length === Object.keys(steps).length - 1 &&
    new Set(ids).size === ids.length &&
    ids.every((id) => typeof id === 'string' && id !== ORDER && idOf(steps[id]) === id);
  return fits ? { ...block, steps: ids.map((id) => steps[id as string]) } : null;
}

function differences(before: unknown, after: unknown, at: readonly string[]): RevisionEdit[] {
  if (isBlock(before) && isBlock(after)) {
    const names = [...new Set([...Object.keys(before), ...Object.keys(after)])].sort();
    return names.flatMap((name) => {
      const here = [...at, name];
      if (after[name] === undefined) return before[name] === undefined ? [] : [{ at: here }];
      if (before[name] === undefined) return [{ at: here, to: after[name] }];
      return differences(before[name], after[name], here);
    });
  }
  return canonicalText(before) === canonicalText(after) ? [] : [{ at, to: after }];
}

/**
 * What has to change for one revision to read like the other, both as they were read from their files;
 * null when one of them is no checklist.
 */
export function editsBetween(before: unknown, after: unknown): RevisionEdit[] | null {
  const [from, to] = [keyed(before), keyed(after)];
  return from === null || to === null ? null : differences(from, to, []);
}

/** How many bytes they take in an entry of a record. */
export const editBytes = (edits: readonly RevisionEdit[]): number => canonicalBytes(edits).length;

/** The block with one place changed; null where there is no such place. */
function changed(block: unknown, at: readonly string[], edit: RevisionEdit): Block | null {
  const [name, ...rest] = at;
  if (!isBlock(block) || name === undefined) return null;
  if (rest.length > 0) {
    const inner = Object.hasOwn(block, name) ? changed(block[name], rest, edit) : null;
    return inner === null ? null : { ...block, [name]: inner };
  }
  if (edit.to !== undefined) return { ...block, [name]: edit.to };
  if (!Object.hasOwn(block, name)) return null;
  return Object.fromEntries(Object.entries(block).filter(([each]) => each !== name));
}

/**
 * The checklist after these edits; null when they do not fit it. What comes back has the order of keys of
 * the one given, new ones last. Untrusted edits are welcome: nothing outside the value is touched, and
 * whether the outcome is a checklist is for the schema to say.
 */
export function withEdits(json: unknown, edits: readonly RevisionEdit[]): unknown {
  let block = keyed(json);
  for (const edit of edits) {
    block = block === null ? null : changed(block, edit.at, edit);
  }
  return block === null ? null : listed(block);
}
