/** What the schema found, as sentences a person can act on. */
import type { z } from 'zod';
import { hint, plainText } from './closest.ts';
import { knownKeys } from './known-keys.ts';
import { STEP_KINDS } from './model.ts';
import type { Path, Problems } from './place.ts';
import { anyStepSchema, checklistSchema, KEBAB, WORD, type ReadChecklist } from './schema.ts';

type Issue = z.core.$ZodIssue;

const asPath = (path: readonly PropertyKey[]): Path =>
  path.map((part) => (typeof part === 'number' ? part : String(part)));

/** The value at a path of what was read. */
export function valueAt(json: unknown, path: readonly PropertyKey[]): unknown {
  let at = json;
  for (const part of path) at = (at as Record<PropertyKey, unknown> | null | undefined)?.[part];
  return at;
}

/** The checklist when its shape is right; every problem of shape goes to `problems`. */
export function readShape(json: unknown, problems: Problems): ReadChecklist | null {
  const read = checklistSchema.safeParse(json);
  if (read.success) return read.data;
  for (const issue of read.error.issues) sayIssue(issue, [], json, problems);
  return null;
}

function sayIssue(issue: Issue, around: Path, json: unknown, problems: Problems): void {
  const path = [...around, ...asPath(issue.path)];
  switch (issue.code) {
    case 'unrecognized_keys':
      return sayUnknownKeys(issue.keys, path, json, problems);
    case 'invalid_union':
      return sayUnion(issue, path, json, problems);
    case 'invalid_key':
      return problems.atKey(
        path,
        `${quoted(path.at(-1))} cannot be a name here; ${nameForm(path)}`,
      );
    case 'invalid_value':
      return sayValue(issue.values, path, json, problems);
    case 'invalid_type':
      return sayType(issue.expected, path, json, problems);
    case 'too_small':
    case 'too_big':
      return sayBound(issue, path, problems);
    case 'invalid_format':
      return problems.atValue(path, sayFormat(issue, valueAt(json, path)));
    default:
      return problems.atValue(path, `This cannot stand here: ${issue.message}.`);
  }
}

function sayUnknownKeys(keys: readonly string[], path: Path, json: unknown, problems: Problems) {
  const kind = path[0] === 'steps' ? valueAt(json, [...path.slice(0, 2), 'do']) : undefined;
  const known = knownKeys(path, kind);
  const written = Object.keys((valueAt(json, path) as object | undefined) ?? {});
  const free = known.filter((key) => !written.includes(key));
  for (const key of keys) {
    const where =
      typeof kind === 'string' && path.length === 2 ? `a step that does "${kind}"` : 'this place';
    problems.atKey([...path, key], `The key ${key} is not known in ${where}${hint(key, free)}`);
  }
}

function sayUnion(
  issue: Issue & { code: 'invalid_union' },
  path: Path,
  json: unknown,
  problems: Problems,
) {
  if ('discriminator' in issue && issue.discriminator === 'do') {
    const step = path.slice(0, -1);
    const written = valueAt(json, path);
    const says =
      written === undefined
        ? 'The key do is missing; it names the kind of step, such as confirm or reading.'
        : `${quoted(written)} is no kind of step${hint(plainText(written), STEP_KINDS)}`;
    problems.atValue(path, says);
    const rest = anyStepSchema.safeParse(valueAt(json, step));
    for (const other of rest.error?.issues ?? []) sayIssue(other, step, json, problems);
    return;
  }
  const best = issue.errors.toSorted((a, b) => misfit(a) - misfit(b))[0];
  if (best === undefined || best.length === 0) {
    const says = 'This fits none of the forms that may stand here.';
    problems.atValue(path, says);
    return;
  }
  for (const inner of best) sayIssue(inner, path, json, problems);
}

/** How far one form of a union is from what was written: a foreign key at its top weighs most. */
function misfit(issues: readonly Issue[]): number {
  let sum = 0;
  for (const issue of issues) {
    const foreign = issue.code === 'unrecognized_keys' && issue.path.length === 0;
    const missing = issue.code === 'invalid_type' && issue.path.length === 1;
    sum += foreign || missing ? 100 : 1;
  }
  return sum;
}

function sayValue(values: readonly unknown[], path: Path, json: unknown, problems: Problems) {
  const written = valueAt(json, path);
  const known = values.map(String);
  if (written === undefined) {
    problems.atValue(path, `The key ${String(path.at(-1))} is missing; it is ${orList(known)}.`);
    return;
  }
  const ending = known.length === 1 ? `; it is ${known[0]} here.` : hint(plainText(written), known);
  problems.atValue(path, `${quoted(written)} is not known here${ending}`);
}

const kinds: Readonly<Record<string, string>> = {
  string: 'text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  array: 'a list, such as [first, second]',
  object: 'a block of keys',
  record: 'a block of keys',
};

function sayType(expected: string, path: Path, json: unknown, problems: Problems): void {
  const written = valueAt(json, path);
  const wanted = kinds[expected] ?? expected;
  if (written === undefined) {
    problems.atValue(path, `The key ${String(path.at(-1))} is missing; it is ${wanted}.`);
    return;
  }
  const tip =
    expected === 'string' && typeof written === 'number'
      ? '; a quantity needs its unit, such as 5 s, and other text needs quotes'
      : '';
  const what = path.length === 0 ? 'A checklist' : 'Here stands';
  const says =
    path.length === 0
      ? `${what} is a block of keys that begins with format: 1; this is ${kindOf(written)}.`
      : `${what} ${kindOf(written)}; it should be ${wanted}${tip}.`;
  problems.atValue(path, says);
}

function kindOf(value: unknown): string {
  if (value === null) return 'nothing';
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object') return 'a block of keys';
  return typeof value === 'string'
    ? `the text ${quoted(value)}`
    : `${typeof value} ${plainText(value)}`;
}

function sayBound(
  issue: Issue & { code: 'too_small' | 'too_big' },
  path: Path,
  problems: Problems,
) {
  const few = issue.code === 'too_small';
  const bound = String(
    few ? (issue as { minimum: unknown }).minimum : (issue as { maximum: unknown }).maximum,
  );
  const [least, most] =
    issue.origin === 'string'
      ? [
          'This is empty; write it out or take the key away.',
          `This is longer than ${bound} letters; say it in fewer.`,
        ]
      : issue.origin === 'array'
        ? [
            'This list is empty; name at least one, or take the key away.',
            `This list has more than ${bound}.`,
          ]
        : [
            `This is too small; ${bound} is the least here.`,
            `This is too large; ${bound} is the most here.`,
          ];
  problems.atValue(path, (few ? least : most) as string);
}

const formats: Readonly<Record<string, string>> = {
  [String(KEBAB)]: 'use small letters, digits and single hyphens, such as cover-off.',
  [String(WORD)]: 'use one word of letters, digits, hyphens and underscores.',
};

const nameForm = (path: Path) =>
  formats[String(path.at(-2) === 'when' || /edBy$/u.test(String(path.at(-2))) ? KEBAB : WORD)];

function sayFormat(issue: Issue & { code: 'invalid_format' }, written: unknown): string {
  const name = formats[issue.pattern ?? ''];
  if (name !== undefined) return `${quoted(written)} cannot be a name here; ${name}`;
  return issue.pattern?.includes('d{4}') === true
    ? `${quoted(written)} is no date; write year, month and day, such as 2026-09-14.`
    : `${quoted(written)} is no language; write its short code, such as en, es or pt-BR.`;
}

function quoted(value: unknown): string {
  const text = plainText(value);
  return `“${text.length > 40 ? `${text.slice(0, 39)}…` : text}”`;
}

function orList(items: readonly string[]): string {
  if (items.length > 12) return `one of ${items.slice(0, 12).join(', ')}, …`;
  const last = items.at(-1) ?? '';
  return items.length < 2 ? last : `${items.slice(0, -1).join(', ')} or ${last}`;
}
