/**
 * HTML as values: text stays text until it is written, so that nothing a person typed can become
 * markup, script or a link.
 */

/** What an element was made of, for whoever draws it on something that is not HTML. */
export interface Element {
  readonly name: string;
  readonly attributes: Attributes;
  readonly content: readonly Content[];
}

/** Markup that this program wrote itself. */
export class Html {
  /** Of markup that is no element, such as a style sheet; empty for an element. */
  readonly raw: string;
  readonly element: Element | null;
  constructor(made: string | Element) {
    this.raw = typeof made === 'string' ? made : '';
    this.element = typeof made === 'string' ? null : made;
  }
}

export type Content = Html | string | number | null | readonly Content[];

const ESCAPES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
  '`': '&#96;',
};

/** Characters that are not seen, or that turn the reading order of what follows, shown by name. */
/* eslint-disable no-control-regex -- they are what is made visible here */
const UNSEEN =
  /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u00ad\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]|[\u{e0000}-\u{e007f}]/gu;

const NEEDS_CARE = new RegExp(`[&<>"'\`]|${UNSEEN.source}`, 'u');
/* eslint-enable no-control-regex */

/** A character by its number, for one that cannot be shown as it is. */
export function named(character: string): string {
  const point = character.codePointAt(0) ?? 0;
  return `[U+${point.toString(16).toUpperCase().padStart(4, '0')}]`;
}

/** Text in which nothing is unseen. */
export function visible(text: string): string {
  return text.replace(UNSEEN, named);
}

/** Text as HTML text. */
export function escaped(text: string): string {
  if (!NEEDS_CARE.test(text)) return text;
  return visible(text.replace(/[&<>"'`]/g, (found) => ESCAPES[found] ?? found));
}

/** Content as HTML; each part of it is written once, however deep it lies. */
export function written(content: Content): string {
  if (content === null) return '';
  if (typeof content === 'string') return escaped(content);
  if (typeof content === 'number') return String(content);
  if (content instanceof Html) {
    return content.element === null ? content.raw : writtenElement(content.element);
  }
  let text = '';
  for (const part of content) text += written(part);
  return text;
}

function writtenElement({ name, attributes, content }: Element): string {
  let opening = `<${name}`;
  for (const key in attributes) {
    const value = attributes[key];
    if (value !== null) opening += ` ${key}="${escaped(String(value))}"`;
  }
  if (SHAPES.has(name)) return `${opening}/>`;
  return VOID.has(name) ? `${opening}>` : `${opening}>${written(content)}</${name}>`;
}

type Attributes = Readonly<Record<string, string | number | null>>;

const VOID: ReadonlySet<string> = new Set(['br', 'img', 'meta', 'hr']);
/** Shapes of SVG close themselves; an open one would swallow what follows. */
const SHAPES: ReadonlySet<string> = new Set(['line', 'rect', 'path', 'circle', 'polygon']);

/** An element; attribute values are escaped, names are ours. */
export function el(name: string, attributes: Attributes, ...content: readonly Content[]): Html {
  return new Html({ name, attributes, content });
}

/** Text that a person typed: its direction is kept to itself. */
export function typed(text: string): Html {
  return el('bdi', {}, text);
}

export function list(items: readonly Content[]): Content {
  return items.length === 0
    ? null
    : el(
        'ul',
        {},
        items.map((item) => el('li', {}, item)),
      );
}

/** Neither words nor a picture. */
function isBlank(content: Content): boolean {
  if (content === null) return true;
  // What cannot be seen is named by its number, and so is a word.
  if (typeof content === 'string') return content.trim() === '' && visible(content).trim() === '';
  if (typeof content === 'number') return false;
  if (!(content instanceof Html)) return content.every(isBlank);
  const { element } = content;
  return element === null || (element.name !== 'img' && element.content.every(isBlank));
}

export function table(
  /** What it shows; the id of the heading above it, or a caption where there is none. */
  name: { readonly headed: string } | { readonly caption: string },
  heads: readonly string[],
  rows: readonly (readonly Content[])[],
): Content {
  if (rows.length === 0) return null;
  return el(
    'table',
    { 'aria-labelledby': 'headed' in name ? name.headed : null },
    'caption' in name ? el('caption', {}, name.caption) : null,
    el(
      'thead',
      {},
      el(
        'tr',
        {},
        heads.map((head) => el('th', { scope: 'col' }, head)),
      ),
    ),
    el(
      'tbody',
      {},
      rows.map((row) =>
        el(
          'tr',
          {},
          // On a narrow screen each cell stands below the last, under the name of its column.
          row.map((cell, at) =>
            el('td', { 'data-head': heads[at] ?? null }, isBlank(cell) ? null : cell),
          ),
        ),
      ),
    ),
  );
}

/** The parts of each template, words and names in turn: our own words, of which there are some hundred. */
const PARTS = new Map<string, readonly string[]>();

function partsOf(template: string): readonly string[] {
  const known = PARTS.get(template);
  if (known !== undefined) return known;
  const parts = template.split(/\{(\w+)\}/);
  PARTS.set(template, parts);
  return parts;
}

/** A sentence of ours with its {names} filled; what fills them stays content and is escaped as such. */
export function phrase(template: string, args: Readonly<Record<string, Content>>): Content {
  return partsOf(template).map((part, at) => (at % 2 === 0 ? part : (args[part] ?? part)));
}
