/** What has to be read before a checklist is started: when to leave the job, and who may do it at all. */
import { terms, type Terms } from 'virtual:shelf/terms';
import type { ShelfEntry } from '../../checklists.ts';

/** In the reader's language, else in that of the checklist. */
export function termsOf(entry: ShelfEntry, language: string): Terms | undefined {
  const each = entry.terms ?? terms[entry.id];
  return each?.[language] ?? each?.[entry.language];
}
