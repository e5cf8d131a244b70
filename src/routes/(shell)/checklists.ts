/** The shipped checklists, as a list shows them. */
import { shelf, type ShelfEntry, type ShelfWords } from 'virtual:shelf';

export { shelf, type ShelfEntry };

export function onShelf(id: string): ShelfEntry | undefined {
  return shelf.find((entry) => entry.id === id);
}

/** Its words in the reader's language, else in its own. */
export function wordsOf(entry: ShelfEntry, language: string): ShelfWords | undefined {
  return entry.words[language] ?? entry.words[entry.language];
}
