/** Why an act is not open yet, as a value: never an exception, never a dead end. */
import { fill, WORDS, type WordArgs, type WordKey } from './words.ts';

export const REFUSAL_CODES = [
  'order',
  'not-dead',
  'stale-proof',
  'source-uncounted',
  'control-not-isolator',
  'case-unknown',
  'case-live',
  'supply-unknown',
  'supply-bad',
  'barred',
  'live-window',
  'open-ends',
  'roll-call',
  'lock-owner',
  'tag-not-enough',
  'park-incomplete',
  'interlock',
  'must-not-wear',
  'must-wear',
  'wait',
  'stored',
  'competence',
  'instrument',
  'people',
  'ended',
  'bad-input',
] as const;
export type RefusalCode = (typeof REFUSAL_CODES)[number];

export interface Refusal {
  readonly code: RefusalCode;
  /** For a translation: which sentence, and what stands in its places. */
  readonly key: WordKey;
  readonly args: WordArgs;
  /** One plain sentence: what is missing and what opens it. */
  readonly says: string;
  /** Steps that, once done, clear it; empty when it is cleared by something else the sentence names. */
  readonly clears: readonly string[];
  /** For `wait`: whole milliseconds that remain on the running clock. */
  readonly remaining?: number;
}

/** A refusal in the engine's own words, with the key and arguments that another language needs. */
export function refusal(
  code: RefusalCode,
  key: WordKey,
  args: WordArgs = {},
  clears: readonly string[] = [],
): Refusal {
  return { code, key, args, says: fill(WORDS[key], args), clears };
}
