/**
 * YAML 1.2 (core schema) read as plain data, with the place of every key and value.
 *
 * Narrower than YAML on purpose: a checklist is data that decides about lives, so whatever two readers
 * could take differently (tags, merge keys, duplicate keys, several documents) is refused in words.
 */
import {
  isAlias,
  isMap,
  isScalar,
  isSeq,
  Lexer,
  LineCounter,
  parseAllDocuments,
  type Alias,
  type Document,
  type Node,
  type Pair,
  type YAMLError,
} from 'yaml';
import type { Problem } from './model.ts';
import { Places, Problems, type Path, type Place } from './place.ts';

/** 1 MiB of UTF-8. */
export const MOST_BYTES = 1 << 20;
export const MOST_DEPTH = 32;
export const MOST_ALIASES = 50;
/** Pieces of YAML (words, marks, line ends); a checklist of sixty steps has about six thousand. */
const MOST_PIECES = 100_000;
/** Values once every alias is written out. */
const MOST_VALUES = 50_000;

export type ReadYaml =
  | { readonly ok: true; readonly json: unknown; readonly places: Places }
  | { readonly ok: false; readonly problems: readonly Problem[] };

const whole = (says: string): ReadYaml => ({
  ok: false,
  problems: [{ path: '', line: 1, column: 1, says }],
});

/** Never throws; `ok: false` lists everything found. */
export function readYaml(text: string): ReadYaml {
  if (typeof text !== 'string') return whole('A checklist is a text; this is something else.');
  if (utf8Length(text, MOST_BYTES) > MOST_BYTES) {
    return whole('The file is larger than 1 MiB; a checklist is a few pages of text.');
  }
  const lines = new LineCounter();
  if (tooManyPieces(text)) {
    return whole(
      `The file has more than ${MOST_PIECES} words and marks; a checklist has far fewer.`,
    );
  }
  const places = new Places();
  const problems = new Problems(places);
  const [first, ...others] = documentsOf(text, lines);
  if (first === undefined) {
    return whole(
      'The file is empty; a checklist begins with the line “format: 1”, and goes on from there.',
    );
  }
  const reader = new Reader(places, problems, lines);
  const json = reader.read(first, others);
  return problems.count === 0
    ? { ok: true, json, places }
    : { ok: false, problems: problems.list() };
}

function documentsOf(text: string, lines: LineCounter): Document[] {
  // Keys are compared below with a set; the library compares every key with every other.
  const documents = parseAllDocuments(text, {
    version: '1.2',
    schema: 'core',
    merge: false,
    uniqueKeys: false,
    prettyErrors: false,
    lineCounter: lines,
  });
  return Array.isArray(documents) ? documents : [];
}

function tooManyPieces(text: string): boolean {
  let pieces = 0;
  for (const _ of new Lexer().lex(text)) {
    pieces += 1;
    if (pieces > MOST_PIECES) return true;
  }
  return false;
}

/** Bytes of the text in UTF-8; stops counting past `most`. */
function utf8Length(text: string, most: number): number {
  let bytes = 0;
  for (const character of text) {
    const code = character.codePointAt(0) ?? 0;
    bytes += code < 0x80 ? 1 : code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
    if (bytes > most) return bytes;
  }
  return bytes;
}

class Reader {
  readonly #places: Places;
  readonly #problems: Problems;
  readonly #lines: LineCounter;
  #aliases = 0;
  #values = 0;
  #full = false;

  constructor(places: Places, problems: Problems, lines: LineCounter) {
    this.#places = places;
    this.#problems = problems;
    this.#lines = lines;
  }

  read(document: Document, others: readonly Document[]): unknown {
    for (const error of document.errors.slice(0, 50)) this.#syntax(error);
    for (const warning of document.warnings.slice(0, 50)) this.#syntax(warning);
    const second = others[0];
    if (second !== undefined) {
      const from = second.contents?.range?.[0] ?? second.range?.[0] ?? 0;
      this.#at(from, 'A second document begins here; a file holds one checklist.');
    }
    if (document.directives?.yaml.explicit === true || hasOwnTags(document)) {
      this.#at(0, 'Directives (lines that begin with %) are not read here; take them out.');
    }
    if (document.errors.length > 0) return null;
    if (document.contents === null) {
      this.#at(
        0,
        'The file is empty; a checklist begins with the line “format: 1”, and goes on from there.',
      );
      return null;
    }
    return this.#node(document.contents, [], 0, document);
  }

  #node(node: unknown, path: Path, depth: number, document: Document): unknown {
    if (this.#full) return null;
    if (depth > MOST_DEPTH)
      return this.#refuse(node, path, `Nested deeper than ${MOST_DEPTH}; write it flatter.`);
    this.#values += 1;
    if (this.#values > MOST_VALUES) {
      this.#full = true;
      return this.#refuse(
        node,
        path,
        'Written out, the aliases make this file too large; write fewer.',
      );
    }
    if (node === null || node === undefined) return null;
    this.#places.noteValue(path, this.#placeOf(node));
    if (isAlias(node)) return this.#alias(node, path, depth, document);
    if (hasTag(node)) {
      return this.#refuse(
        node,
        path,
        `The tag ${node.tag} is not read here; write the value without it.`,
      );
    }
    if (isScalar(node)) return this.#scalar(node.value, node, path);
    if (isSeq(node)) {
      return node.items.map((item, at) => this.#node(item, [...path, at], depth + 1, document));
    }
    if (isMap(node)) return this.#map(node.items, path, depth, document);
    return this.#refuse(
      node,
      path,
      'This is no value that is read here; write text, a list or keys.',
    );
  }

  #alias(alias: Alias, path: Path, depth: number, document: Document): unknown {
    this.#aliases += 1;
    if (this.#aliases === MOST_ALIASES + 1) {
      this.#full = true;
      return this.#refuse(
        alias,
        path,
        `This is one alias more than ${MOST_ALIASES}; write the words out.`,
      );
    }
    const target = alias.resolve(document);
    if (target === undefined) {
      return this.#refuse(alias, path, `The alias *${alias.source} names nothing above it.`);
    }
    return this.#node(target, path, depth + 1, document);
  }

  #scalar(value: unknown, node: unknown, path: Path): unknown {
    if (typeof value === 'string') return this.#text(value, node, path);
    if (value === null || typeof value === 'boolean') return value;
    if (typeof value !== 'number' || !Number.isFinite(value)) {
      return this.#refuse(
        node,
        path,
        'This is no ordinary number; put it in quotes if it is text.',
      );
    }
    if (Number.isInteger(value) && !Number.isSafeInteger(value)) {
      return this.#refuse(
        node,
        path,
        'This number is too large to keep exactly; put it in quotes if it is text.',
      );
    }
    return value;
  }

  #text(value: string, node: unknown, path: Path): string | null {
    // Lone surrogates have no canonical form; controls and direction marks can hide words from a reader.
    if (/\p{Surrogate}/u.test(value)) {
      return this.#refuse(node, path, 'This text holds half a character; write it again.');
    }
    // eslint-disable-next-line no-control-regex
    if (/[\u0000-\u0008\u000b-\u001f\u007f\u202a-\u202e\u2066-\u2069\ufeff]/u.test(value)) {
      return this.#refuse(
        node,
        path,
        'This text holds a mark that cannot be seen; write it again without.',
      );
    }
    return value;
  }

  #map(items: readonly Pair[], path: Path, depth: number, document: Document): unknown {
    const read: Record<string, unknown> = {};
    const seen = new Set<string>();
    for (const { key, value } of items) {
      const name = this.#key(key, path);
      if (name === null) continue;
      const below = [...path, name];
      const place = this.#placeOf(key);
      if (seen.has(name)) {
        this.#add(below, place, `The key ${name} is written twice here; keep one.`);
        continue;
      }
      seen.add(name);
      this.#places.noteKey(below, place);
      if (value === null) this.#places.noteValue(below, place);
      read[name] = this.#node(value, below, depth + 1, document);
    }
    return read;
  }

  /** The key as text, or null when it was refused. */
  #key(key: unknown, path: Path): string | null {
    const place = this.#placeOf(key);
    const refuse = (says: string) => {
      this.#add(path, place, says);
      return null;
    };
    if (isAlias(key)) return refuse('An alias cannot be a key here; write the word.');
    if (!isScalar(key)) return refuse('A key is one word here, never a list or another block.');
    if (hasTag(key))
      return refuse(`The tag ${key.tag} is not read here; write the key without it.`);
    const name = key.value;
    if (name === null) return refuse('A key is missing before the colon.');
    if (typeof name !== 'string') {
      return refuse(`The key ${key.source ?? String(name)} is not text; put it in quotes.`);
    }
    if (name === '<<') return refuse('Merge keys (<<) are not read here; write the keys out.');
    if (name === '__proto__' || this.#text(name, key, path) === null) {
      return refuse('This word cannot be a key here; choose another.');
    }
    return name;
  }

  #refuse(node: unknown, path: Path, says: string): null {
    this.#add(path, this.#placeOf(node), says);
    return null;
  }

  #syntax(error: YAMLError): void {
    this.#at(error.pos[0], inPlainWords(error));
  }

  #at(offset: number, says: string): void {
    this.#add([], this.#placeAt(offset), says);
  }

  #add(path: Path, place: Place, says: string): void {
    this.#places.noteValue(path, place);
    this.#problems.atValue(path, says);
  }

  #placeOf(node: unknown): Place {
    return this.#placeAt((node as Node | null)?.range?.[0] ?? 0);
  }

  #placeAt(offset: number): Place {
    const { line, col } = this.#lines.linePos(offset);
    return { line: Math.max(1, line), column: Math.max(1, col) };
  }
}

/** A tag written in the file; the library marks resolved collections with none. */
function hasTag(node: unknown): node is { tag: string } {
  const tag = (node as { tag?: unknown }).tag;
  return typeof tag === 'string' && tag !== '';
}

function hasOwnTags(document: Document): boolean {
  return Object.keys(document.directives?.tags ?? {}).some((handle) => handle !== '!!');
}

const plainWords: Readonly<Record<string, string>> = {
  BAD_ALIAS: 'This alias cannot be read; its name may hold only letters, digits and hyphens.',
  BAD_DIRECTIVE: 'Directives (lines that begin with %) are not read here; take them out.',
  BAD_DQ_ESCAPE: 'After a backslash in double quotes this cannot stand; use single quotes.',
  BAD_INDENT:
    'The indent does not fit the lines above; count its spaces, or close the bracket above.',
  BAD_SCALAR_START: 'A text cannot begin with this mark; put it in quotes.',
  BLOCK_AS_IMPLICIT_KEY:
    'A second colon, or a block, follows on one line; put a text with ": " in quotes.',
  BLOCK_IN_FLOW: 'Indented lines cannot stand inside [ ] or { }; write the list in one style.',
  KEY_OVER_1024_CHARS: 'This key is longer than 1024 characters; is a colon in the wrong place?',
  MISSING_CHAR: 'Something is missing here: a comma, a colon, a closing quote or a bracket.',
  MULTILINE_IMPLICIT_KEY: 'A key must stand on one line; is a quote or a bracket left open above?',
  MULTIPLE_ANCHORS: 'Two anchors (&) stand before one value; keep one.',
  MULTIPLE_DOCS: 'A second document begins here; a file holds one checklist.',
  MULTIPLE_TAGS: 'Two tags (!) stand before one value; tags are not read here.',
  TAB_AS_INDENT: 'A tab cannot indent; use spaces.',
  TAG_RESOLVE_FAILED: 'Tags (!) are not read here; write the value without it.',
  UNEXPECTED_TOKEN: 'This does not belong here; is a quote, a bracket or a dash too many above it?',
  RESOURCE_EXHAUSTION: `Nested far deeper than ${MOST_DEPTH}; write it flatter.`,
};

function inPlainWords(error: YAMLError): string {
  return (
    plainWords[error.code] ?? 'This line is not YAML as it stands; compare it with its neighbours.'
  );
}
