/** The shipped checklists: their files, fetched when asked for, and their words in another language. */
import type { Checklist } from '#lib/core/checklist/model.ts';
import { shelf, type ShelfEntry, type ShelfWords } from 'virtual:shelf';

const texts = import.meta.glob<string>('/checklists/*.yaml', { query: '?raw', import: 'default' });

export { shelf, type ShelfEntry };

export function onShelf(id: string): ShelfEntry | undefined {
  return shelf.find((entry) => entry.id === id);
}

/** Its words in the reader's language, else in its own. */
export function wordsOf(entry: ShelfEntry, language: string): ShelfWords | undefined {
  return entry.words[language] ?? entry.words[entry.language];
}

/** The file as written; undefined when this build has no such checklist. */
export async function checklistText(id: string): Promise<string | undefined> {
  return texts[`/checklists/${id}.yaml`]?.();
}

/**
 * The checklist of a job in the reader's language; as it is when there is no translation of this very
 * revision. The record keeps what the job was opened with.
 */
export async function inLanguage(checklist: Checklist, language: string): Promise<Checklist> {
  if (checklist.language === language) return checklist;
  const text = await texts[`/checklists/${checklist.id}.${language}.yaml`]?.();
  if (text === undefined) return checklist;
  const { applyTranslation } = await import('#lib/core/checklist/translation.ts');
  const translated = applyTranslation(checklist, text);
  return translated.ok ? translated.checklist : checklist;
}
