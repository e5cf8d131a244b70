// Checklists on disk: reading one whole, and its translations.
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { checklistIdentity } from '../lib/core/checklist/identity.ts';
import { loadChecklist } from '../lib/core/checklist/load.ts';
import type { Checklist, Problem } from '../lib/core/checklist/model.ts';
import { reviewChecklist } from '../lib/core/checklist/review.ts';
import { applyTranslation } from '../lib/core/checklist/translation.ts';
import { nodePrimitives } from '../lib/crypto/node.ts';
import { Unusable } from './verb.ts';

/** A file much larger than any checklist is not even read. */
const MOST_BYTES = 64 * 1024 * 1024;

export interface Checked {
  readonly file: string;
  readonly ok: boolean;
  readonly id: string | null;
  readonly sha256: string | null;
  /** Of a translation. */
  readonly language?: string;
  readonly problems: readonly Problem[];
  readonly advice: readonly Problem[];
}

export interface LoadedFile {
  readonly checklist: Checklist;
  readonly json: unknown;
  readonly sha256: string;
}

/** @throws Unusable when there is no such file, or it is no text */
function textOf(file: string): string {
  let bytes: Uint8Array;
  try {
    if (statSync(file).size > MOST_BYTES)
      throw new Unusable(`${file} is far too large for a checklist.`);
    bytes = readFileSync(file);
  } catch (error) {
    if (error instanceof Unusable) throw error;
    const { code } = error as NodeJS.ErrnoException;
    const why = code === 'ENOENT' ? 'There is no file' : `It is not possible to read (${code})`;
    throw new Unusable(`${why} ${file}.`);
  }
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new Unusable(`${file} is not UTF-8 text.`);
  }
}

/** The files themselves; a folder stands for every .yaml in it. @throws Unusable */
export function filesOf(names: readonly string[]): string[] {
  return names.flatMap((name) => {
    if (statSync(name, { throwIfNoEntry: false })?.isDirectory() !== true) return [name];
    const inside = readdirSync(name)
      .filter((file) => /\.ya?ml$/u.test(file))
      .sort();
    if (inside.length === 0)
      throw new Unusable(`There is no checklist (.yaml) in the folder ${name}.`);
    return inside.map((file) => join(name, file));
  });
}

/** `range-door-lock.es.yaml` translates `range-door-lock.yaml` beside it; null for a checklist. */
function originalOf(file: string): string | null {
  const match = /^([^.]+)\.[^.]+\.(ya?ml)$/u.exec(basename(file));
  return match === null ? null : join(dirname(file), `${match[1]}.${match[2]}`);
}

/** Its own language, and those of the translations beside it. */
export function languagesOf(file: string, checklist: Checklist): string[] {
  const own = basename(file).replace(/\.ya?ml$/u, '');
  const beside = readdirSync(dirname(file)).flatMap((name) => {
    const [first, language, kind, ...more] = name.split('.');
    const translates = first === own && /^ya?ml$/u.test(kind ?? '') && more.length === 0;
    return translates && language !== undefined ? [language] : [];
  });
  return [checklist.language, ...beside];
}

const identityOf = (json: unknown) => checklistIdentity(json, nodePrimitives.sha256);

/** Reads a checklist, or a translation against the checklist beside it. @throws Unusable */
export function checkFile(file: string): Checked {
  const text = textOf(file);
  const original = originalOf(file);
  if (original !== null) return checkTranslation(file, text, original);
  const loaded = loadChecklist(text);
  if (!loaded.ok) {
    return { file, ok: false, id: null, sha256: null, problems: loaded.problems, advice: [] };
  }
  const { checklist, json, places } = loaded;
  const advice = reviewChecklist(checklist, places, { json, file });
  return { file, ok: true, id: checklist.id, sha256: identityOf(json), problems: [], advice };
}

function checkTranslation(file: string, text: string, original: string): Checked {
  const loaded = loadChecklist(textOf(original));
  const none = { file, ok: false, id: null, sha256: null, advice: [] };
  if (!loaded.ok) {
    const says = `The checklist that this translates, ${original}, has problems itself; mend it first.`;
    return { ...none, problems: [{ path: '', line: 1, column: 1, says }] };
  }
  const translated = applyTranslation(loaded.checklist, text, file);
  if (!translated.ok) return { ...none, id: loaded.checklist.id, problems: translated.problems };
  const { language, advice } = translated;
  const sha256 = identityOf(loaded.json);
  return { file, ok: true, id: loaded.checklist.id, sha256, language, problems: [], advice };
}

/** A checklist that can be read; `check` says what else is wrong with it. @throws Unusable with the first of its problems */
export function loadFile(file: string): LoadedFile {
  const loaded = loadChecklist(textOf(file), 'form');
  if (!loaded.ok) {
    const [first] = loaded.problems;
    const where = first === undefined ? '' : `${file}:${first.line}:${first.column}: ${first.says}`;
    const more = loaded.problems.length - 1;
    const others = more > 0 ? ` (and ${more} more; see stillwire check ${file})` : '';
    throw new Unusable(`${where}${others}`);
  }
  return { checklist: loaded.checklist, json: loaded.json, sha256: identityOf(loaded.json) };
}
