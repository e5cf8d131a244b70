/** The words of the front page, by language. Sentences with {names} are filled by `phrase`. */

import { en } from './words-en.ts';
import { es } from './words-es.ts';

export const FRONT_LANGUAGES = ['en', 'es'] as const;
export type FrontLanguage = (typeof FRONT_LANGUAGES)[number];

/** The language of a page for a reader's language tag; English where there is no other. */
export function frontLanguageOf(tag: string): FrontLanguage {
  const primary = tag.split('-')[0]?.toLowerCase();
  return FRONT_LANGUAGES.find((language) => language === primary) ?? 'en';
}

export type FrontWords = Readonly<Record<keyof typeof en, string>>;

export const FRONT_WORDS: Readonly<Record<FrontLanguage, FrontWords>> = { en, es };
