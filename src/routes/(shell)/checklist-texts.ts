/** The files of the shipped checklists, fetched when asked for, and their words in another language. */
import type { Checklist } from '#lib/core/checklist/model.ts';
import { accidents, texts } from 'virtual:shelf/texts';

/** The accident kept with a checklist, as lines of commands; undefined when there is none. */
export async function accidentText(id: string): Promise<string | undefined> {
  return (await accidents[id]?.())?.default;
}

/** The file as written; undefined when this build has no such checklist. */
export async function checklistText(id: string): Promise<string | undefined> {
  return (await texts[`${id}.yaml`]?.())?.default;
}

/**
 * The checklist of a job in the reader's language; as it is when there is no translation of this very
 * revision. The record keeps what the job was opened with.
 */
export async function inLanguage(checklist: Checklist, language: string): Promise<Checklist> {
  if (checklist.language === language) return checklist;
  const text = (await texts[`${checklist.id}.${language}.yaml`]?.())?.default;
  if (text === undefined) return checklist;
  const { applyTranslation } = await import('#lib/core/checklist/translation.ts');
  const translated = applyTranslation(checklist, text);
  return translated.ok ? translated.checklist : checklist;
}
