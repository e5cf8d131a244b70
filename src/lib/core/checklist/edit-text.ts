/**
 * Changes to a checklist's text at one place, everything else left letter by letter as it was written:
 * comments, blank lines and the author's own wrapping stay.
 */
import { isMap, isScalar, isSeq, parseDocument, Scalar, stringify } from 'yaml';
import type { YAMLMap, YAMLSeq } from 'yaml';

export type Place = readonly (string | number)[];

/** Longest line that a word is written on before it is folded. */
const WIDTH = 96;

interface Ranged {
  readonly range?: readonly [number, number, number] | null;
}

function lineStart(text: string, at: number): number {
  return text.lastIndexOf('\n', at - 1) + 1;
}

function indentAt(text: string, at: number): string {
  return /^[ ]*(?:- )?/u.exec(text.slice(lineStart(text, at)))?.[0].replace('-', ' ') ?? '';
}

/** One value as YAML: on its line where that is plain to read, folded below the key where it is not. */
function written(value: string, indent: string, flow: boolean): string {
  const inline = stringify(value, { lineWidth: 0, singleQuote: true }).trimEnd();
  if (flow) return /^["']/u.test(inline) ? inline : quoteInFlow(inline, value);
  if (!value.includes('\n') && indent.length + inline.length <= WIDTH) return inline;
  const lines: string[] = [];
  let line = '';
  for (const word of value.trim().split(/\s+/u)) {
    if (line !== '' && indent.length + 2 + line.length + 1 + word.length > WIDTH) {
      lines.push(line);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  return `>-\n${[...lines, line].map((each) => `${indent}  ${each}`).join('\n')}`;
}

function quoteInFlow(inline: string, value: string): string {
  return /[,[\]{}]/u.test(value) ? JSON.stringify(value) : inline;
}

/**
 * Sets the word at a place, or takes its key away when the value is empty. A place that is not there yet
 * is made, at the end of its block. Returns the text as it was when there is nothing to set.
 */
export function setWord(text: string, place: Place, value: string): string {
  const document = parseDocument(text, { keepSourceTokens: true });
  const parent: unknown =
    place.length === 1 ? document.contents : document.getIn(place.slice(0, -1), true);
  const key = place.at(-1) ?? '';
  if (!isMap(parent)) return text;
  const pair = parent.items.find((each) => isScalar(each.key) && each.key.value === key);
  if (pair === undefined) return value === '' ? text : withKey(text, parent, String(key), value);
  if (value === '') return withoutKey(text, parent, pair.key as Ranged, pair.value as Ranged);
  if (!isScalar(pair.value)) return text;
  const [start, end] = (pair.value as Ranged).range ?? [0, 0];
  const indent = indentAt(text, (pair.key as Ranged).range?.[0] ?? 0);
  const replaced =
    /^[\w.+-]+$/u.test(value) && typeof pair.value.value === 'number'
      ? value
      : written(value, indent, parent.flow === true);
  const tail = text.slice(start, end).endsWith('\n') ? '\n' : '';
  return text.slice(0, start) + replaced + tail + text.slice(end);
}

function withKey(text: string, parent: YAMLMap, key: string, value: string): string {
  const last = parent.items.at(-1);
  const end = (last?.value as Ranged | undefined)?.range?.[1] ?? parent.range?.[1] ?? text.length;
  if (parent.flow) {
    return `${text.slice(0, end)}, ${key}: ${written(value, '', true)}${text.slice(end)}`;
  }
  const first = (parent.items[0]?.key as Ranged | undefined)?.range?.[0] ?? 0;
  const indent = indentAt(text, first);
  const at = text.slice(0, end).replace(/\s+$/u, '').length;
  const lineEnd = text.indexOf('\n', at) < 0 ? text.length : text.indexOf('\n', at);
  return `${text.slice(0, lineEnd)}\n${indent}${key}: ${written(value, indent, false)}${text.slice(lineEnd)}`;
}

function withoutKey(text: string, parent: YAMLMap, key: Ranged, value: Ranged | null): string {
  if (parent.flow || parent.items.length < 2) return text;
  const from = key.range?.[0] ?? 0;
  const to = value?.range?.[1] ?? key.range?.[1] ?? from;
  // The first key of a list item stands behind its dash, which has to stay.
  if (text.slice(lineStart(text, from), from).includes('-')) return text;
  const lineEnd = text.slice(0, to).endsWith('\n') ? to : text.indexOf('\n', to) + 1;
  return text.slice(0, lineStart(text, from)) + text.slice(lineEnd === 0 ? text.length : lineEnd);
}

/** Where the step at an index stands in the text, with the blank line after it. */
function stepSpan(text: string, at: number): readonly [number, number] | null {
  const steps: unknown = parseDocument(text).get('steps', true);
  if (!isSeq(steps)) return null;
  const start = (item: unknown) => lineStart(text, (item as Ranged).range?.[0] ?? 0);
  const item = (steps as YAMLSeq).items[at];
  if (item === undefined) return null;
  const next = (steps as YAMLSeq).items[at + 1];
  return [start(item), next === undefined ? text.length : start(next)];
}

/** The text without the step at an index; its comments above belong to the step before and stay. */
export function withoutStepAt(text: string, at: number): string {
  const span = stepSpan(text, at);
  return span === null ? text : text.slice(0, span[0]) + text.slice(span[1]);
}

/** The step at an index, and the one after it, in each other's place. */
export function swappedWithNext(text: string, at: number): string {
  const [first, second] = [stepSpan(text, at), stepSpan(text, at + 1)];
  if (first === null || second === null) return text;
  const apart = (block: string) => `${block.trimEnd()}\n`;
  const gap = /\n\n$/u.test(text.slice(...first)) ? '\n' : '';
  const rest = text.slice(second[1]);
  return (
    text.slice(0, first[0]) +
    apart(text.slice(...second)) +
    gap +
    apart(text.slice(...first)) +
    (rest === '' ? '' : gap) +
    rest
  );
}

/** A new step that asks to confirm something, below the step at an index and in its phase. */
export function withStepAfter(
  text: string,
  at: number,
  id: string,
  say: string,
  states: string,
): string {
  const document = parseDocument(text);
  const span = stepSpan(text, at);
  const phase: unknown = document.getIn(['steps', at, 'phase']);
  if (span === null || typeof phase !== 'string') return text;
  const block = [
    `  - id: ${id}`,
    `    phase: ${phase}`,
    '    do: confirm',
    `    states: ${written(states, '    ', false)}`,
    `    say: ${written(say, '    ', false)}`,
    '    takes: 10 s',
  ].join('\n');
  const before = text.slice(0, span[1]).trimEnd();
  const after = text.slice(span[1]);
  return `${before}\n\n${block}\n${after === '' ? '' : `\n${after}`}`;
}

/** A copy that is somebody's own: another id, revision 1, and the day of it. */
export function copiedAs(text: string, id: string, today: string): string {
  const own = setWord(setWord(text, ['id'], id), ['revision'], '1');
  return setWord(own, ['issued'], today);
}

/** The word at a place as it is read; empty when there is none. */
export function wordAt(text: string, place: Place): string {
  const value: unknown = parseDocument(text).getIn(place);
  if (typeof value === 'string' || typeof value === 'number') return String(value);
  return value instanceof Scalar ? String(value.value) : '';
}
