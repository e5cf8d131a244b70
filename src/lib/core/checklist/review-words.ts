/** Advice on the words of a step, in the language that they are written in. */
import type { Step, StepKind } from './model.ts';
import type { Path, Problems } from './place.ts';
import { MOST_WORDS, PLAIN_LEVEL, readingLevel } from './reading-level.ts';
import { secondAct } from './second-act.ts';
import { perspicuity, PLAIN_PERSPICUITY } from './spanish-reading.ts';
import { wordsOf } from './words-of-text.ts';

/** One act with two halves, kept as one fact. */
const DOUBLE = new Set<StepKind>(['lock', 'disconnect', 'reseat', 'clear']);

export function reviewStepWords(step: Step, path: Path, language: string, advice: Problems): void {
  const count = wordsOf(step.say).length;
  if (count > MOST_WORDS) {
    advice.atKey(
      [...path, 'say'],
      `${step.id} says ${count} words; ${MOST_WORDS} is the most that is heard on site.`,
    );
  }
  const second = DOUBLE.has(step.do) ? null : secondAct(step.say, language);
  if (second !== null) {
    advice.atKey(
      [...path, 'say'],
      `${step.id} says two things; make “${second}” a step of its own, or drop it.`,
    );
  }
  for (const key of ['say', 'why'] as const) {
    const hard = hardness(step[key] ?? '', language);
    if (hard !== null) {
      advice.atKey([...path, key], `${step.id} ${hard}; use shorter words or sentences.`);
    }
  }
}

/** How hard a text reads when it is too hard; null when it is plain, or nothing is known of its language. */
function hardness(text: string, language: string): string | null {
  switch (language.split('-')[0]) {
    case 'en': {
      const level = readingLevel(text);
      return level > PLAIN_LEVEL ? `reads like school year ${Math.round(level)}` : null;
    }
    case 'es': {
      const plain = perspicuity(text);
      return plain < PLAIN_PERSPICUITY
        ? `reads at ${Math.round(plain)} on the Spanish scale of 0 to 100, where ${PLAIN_PERSPICUITY} is the least`
        : null;
    }
    default:
      return null;
  }
}
