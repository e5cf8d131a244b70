/**
 * A translation stands beside its checklist (`glass-kiln-element.es.yaml`): the same ids, only the
 * words. It is refused unless every word is there and none is left over.
 */
import { hint, plainText } from './closest.ts';
import type { Checklist, Problem } from './model.ts';
import { isBlock } from './draft.ts';
import { Problems, type Path } from './place.ts';
import { readYaml } from './read-yaml.ts';
import { reviewStepWords } from './review-words.ts';
import { inWords, wordsOf, type Words } from './words.ts';

export type Translated =
  | {
      readonly ok: true;
      readonly checklist: Checklist;
      readonly language: string;
      /** Words that are the same in both languages, perhaps not translated yet, and words that are not plain. */
      readonly advice: readonly Problem[];
    }
  | { readonly ok: false; readonly problems: readonly Problem[] };

/** Keys of a translation beside its words. */
const HEAD = ['translates', 'revision', 'language'];
const LANGUAGE = /^[a-z]{2,3}(?:-[A-Za-z0-9]{2,8})*$/u;

/** `name` is the file's name; it must be `id.language.yaml`. Never throws. */
export function applyTranslation(checklist: Checklist, text: string, name?: string): Translated {
  const read = readYaml(text);
  if (!read.ok) return read;
  const problems = new Problems(read.places);
  const advice = new Problems(read.places);
  if (!isBlock(read.json)) {
    problems.atValue(
      [],
      'A translation is a block of keys that begins with translates: the id of a checklist.',
    );
    return { ok: false, problems: problems.list() };
  }
  const { translates, revision, language, ...words } = read.json;
  checkHead(checklist, { translates, revision, language }, name, problems);
  compare(wordsOf(checklist), words, [], { problems, advice });
  if (problems.count > 0) return { ok: false, problems: problems.list() };
  const spoken = inWords(checklist, words as Words, language as string);
  for (const step of spoken.steps) {
    reviewStepWords(step, ['steps', step.id], language as string, advice);
  }
  return { ok: true, checklist: spoken, language: language as string, advice: advice.list() };
}

function checkHead(
  checklist: Checklist,
  head: Readonly<Record<'translates' | 'revision' | 'language', unknown>>,
  name: string | undefined,
  problems: Problems,
): void {
  for (const key of HEAD) {
    if (head[key as keyof typeof head] === undefined) {
      problems.atValue(
        [key],
        `The key ${key} is missing; a translation begins with translates, revision and language.`,
      );
    }
  }
  const { translates, revision, language } = head;
  if (translates !== undefined && translates !== checklist.id) {
    problems.atValue(
      ['translates'],
      `This translates ${plainText(translates)}, and the checklist is ${checklist.id}.`,
    );
  }
  if (revision !== undefined && revision !== checklist.revision) {
    const says = `This translates revision ${plainText(revision)}, and the checklist is at ${checklist.revision}; read what changed first.`;
    problems.atValue(['revision'], says);
  }
  if (language === undefined) return;
  if (typeof language !== 'string' || !LANGUAGE.test(language)) {
    problems.atValue(['language'], 'Write the short code of the language, such as es or pt-BR.');
  } else if (language === checklist.language) {
    problems.atValue(
      ['language'],
      `The checklist itself is in ${language}; a translation has another language.`,
    );
  } else if (name !== undefined) {
    const wanted = `${checklist.id}.${language}.yaml`;
    const file = name.replace(/^.*[\\/]/u, '');
    if (file !== wanted)
      problems.atValue(['language'], `The file is named ${file}; it should be ${wanted}.`);
  }
}

interface Found {
  readonly problems: Problems;
  readonly advice: Problems;
}

/** Every word of the original against the translation, both ways. */
function compare(original: Words, written: unknown, path: Path, found: Found): void {
  const { problems } = found;
  if (typeof original === 'string') return compareText(original, written, path, found);
  if (Array.isArray(original)) {
    if (!Array.isArray(written) || written.length !== original.length) {
      const many = Array.isArray(written) ? String(written.length) : 'none';
      problems.atValue(
        path,
        `The original has ${original.length} here and this has ${many}; keep one for each, in order.`,
      );
      return;
    }
    original.forEach((words: Words, at) => compare(words, written[at], [...path, at], found));
    return;
  }
  if (!isBlock(written)) {
    problems.atValue(
      path,
      `The words of ${String(path.at(-1))} are missing: ${Object.keys(original).join(', ')}.`,
    );
    return;
  }
  for (const [key, words] of Object.entries(original)) {
    if (Object.hasOwn(written, key)) compare(words, written[key], [...path, key], found);
    else sayMissing(words, [...path, key], problems);
  }
  for (const key of Object.keys(written)) {
    if (Object.hasOwn(original, key)) continue;
    const free = Object.keys(original).filter((known) => !Object.hasOwn(written, known));
    problems.atKey(
      [...path, key],
      `The original has no ${key} here${free.length > 0 ? hint(key, free) : '; take it out.'}`,
    );
  }
}

function sayMissing(words: Words, path: Path, problems: Problems): void {
  const what = typeof words === 'string' ? `“${words}”` : Object.keys(words).join(', ');
  problems.atValue(path, `The word for ${String(path.at(-1))} is missing: ${what}`);
}

function compareText(
  original: string,
  written: unknown,
  path: Path,
  { problems, advice }: Found,
): void {
  if (typeof written !== 'string' || written.trim() === '') {
    problems.atValue(path, `Here belongs the translation of “${original}”.`);
  } else if (written === original && original.includes(' ')) {
    advice.atValue(path, `“${original}” is the same in both languages; is it translated?`);
  }
}
