/**
 * How plainly a Spanish sentence is written.
 *
 * Syllables by the spelling rules of the Ortografía of the Real Academia Española (2010): two open
 * vowels part, an accented i or u parts from an open one, everything else stays together, and an h
 * between vowels changes nothing.
 */
import { wordsOf } from './words-of-text.ts';

/**
 * Below this a text is "very difficult" on the INFLESZ scale (Barrio-Cantalejo and others, Anales del
 * Sistema Sanitario de Navarra 31, 2008; from memory): 55 is normal, 40 is what school leaves with.
 */
export const PLAIN_PERSPICUITY = 40;

/** Vowels that carry a syllable of their own. */
const OPEN = /[aeoáéóíú]/gu;
const VOWELS = /[aeoáéóíúiuü]+/gu;

/** Of one word; zero for what has no letter. */
export function syllablesOf(word: string): number {
  const sounded = word
    .toLowerCase()
    .normalize('NFC')
    .replace(/qu(?=[eiéí])/gu, 'q')
    .replace(/gu(?=[eiéí])/gu, 'g')
    .replace(/h/gu, '')
    .replace(/y$/u, 'i')
    .replace(/y(?![aeoáéóíúiuü])/gu, 'i');
  const runs = sounded.match(VOWELS) ?? [];
  const count = runs.reduce((sum, run) => sum + Math.max(1, run.match(OPEN)?.length ?? 0), 0);
  return count === 0 && /\p{L}/u.test(word) ? 1 : count;
}

/**
 * Perspicuity, 206.835 - 62.3 syllables per word - words per sentence (Szigriszt Pazos, Madrid 1993;
 * from memory): the higher the plainer. 100 for fewer than eight words, where it says nothing.
 */
export function perspicuity(text: string): number {
  const words = wordsOf(text).filter((word) => /\p{L}/u.test(word));
  if (words.length < 8) return 100;
  const syllables = words.reduce((sum, word) => sum + syllablesOf(word), 0);
  const sentences = Math.max(1, (text.match(/[.!?](?:\s|$)/gu) ?? []).length);
  return 206.835 - 62.3 * (syllables / words.length) - words.length / sentences;
}
