/**
 * How plainly a sentence is written. Hands are cold, light is bad, and half the readers have another
 * first language.
 */

/** Longest instruction, in words; common practice, no source. */
export const MOST_WORDS = 25;
/** Highest level still called plain: a school year. */
export const PLAIN_LEVEL = 10;

export function wordsOf(text: string): string[] {
  return text.match(/[\p{L}\p{N}][\p{L}\p{N}'’-]*/gu) ?? [];
}

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

/** Verbs that instructions of the trade begin with. */
const ACTS = new Set(
  (
    'ask bag bolt break bring call cancel check clamp clean clear clip close come compare count cover cut ' +
    'disconnect drain draw enter find fit follow hang hold insert label lay leave lift listen lock look loosen ' +
    'lower mark measure move note open photograph pick pin pocket press probe prop prove pull push put raise ' +
    'read release remove replace restore rinse run say screw seat see shake show shut sign slide smell start ' +
    'stop strap switch take tell test tie tighten tilt touch try tug turn unlock unplug unscrew wait walk wash ' +
    'watch wear wipe write'
  ).split(' '),
);

/** What follows a verb, but no noun of the same spelling ("lock and switch to the board"). */
const OBJECT =
  /^(?:$|\s+(?:the|an?|it|its|them|your|each|every|any|for|at|in|on|off|out|up|down|back|if|whether|until)\b)/u;

/** The second act of an instruction, or null: one step is one act. */
export function secondAct(say: string): string | null {
  const sentence = /[.!?;]\s+(\S.*)$/u.exec(say)?.[1];
  if (sentence !== undefined) return sentence.replace(/[.!?]$/u, '');
  const joined = /(?:,? and(?: then)?|, then)\s+([a-z]+)\b/gu;
  for (const match of say.matchAll(joined)) {
    const after = say.slice(match.index + match[0].length).replace(/[.!?]$/u, '');
    if (ACTS.has(match[1] ?? '') && OBJECT.test(after)) return `${match[1]}${after}`;
  }
  return null;
}
