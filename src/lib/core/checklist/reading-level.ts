/**
 * How plainly a sentence is written. Hands are cold, light is bad, and half the readers have another
 * first language.
 */
import { wordsOf } from './words-of-text.ts';

/** Longest instruction, in words; common practice, no source. */
export const MOST_WORDS = 25;
/** Highest level still called plain: a school year. */
export const PLAIN_LEVEL = 10;

/**
 * Automated Readability Index, about the school year (English only): 4.71 letters per word +
 * 0.5 words per sentence - 21.43 (Smith and Senter, AMRL-TR-66-220, 1967; from memory).
 * Zero for fewer than eight words, where it says nothing.
 */
export function readingLevel(text: string): number {
  const words = wordsOf(text);
  if (words.length < 8) return 0;
  const letters = words.reduce((sum, word) => sum + word.replace(/['’-]/gu, '').length, 0);
  const sentences = Math.max(1, (text.match(/[.!?](?:\s|$)/gu) ?? []).length);
  return 4.71 * (letters / words.length) + 0.5 * (words.length / sentences) - 21.43;
}
