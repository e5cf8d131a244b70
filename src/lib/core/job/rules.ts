/**
 * The rule set by name and figure: which interlocks, codes, lapses, standing limits and sentences this
 * program decides with. Its hash stands in every entry, so that a reader years later knows which rules
 * were in force; two programs that differ in any of these differ in it.
 */
import { LAPSES } from '../checklist/model.ts';
import { INTERLOCKS } from './interlocks.ts';
import { STATED_LAPSES } from './lapses.ts';
import { KNOWN_GAP_MS, LONG_ABSENCE_MINUTES, PROOF_KEEPS_MS, ROLL_CALL_KEEPS_MS } from './plan.ts';
import { REFUSAL_CODES } from './refusal.ts';
import { CASE_PASS_VOLTS, CASE_STOP_VOLTS } from './meter-results.ts';
import { WORDS } from './words.ts';

/** Raised by hand when a rule changes without any name or figure changing. */
const EDITION = 5;

export const RULE_SET = {
  edition: EDITION,
  interlocks: INTERLOCKS.map((interlock) => interlock.id),
  codes: REFUSAL_CODES,
  lapses: LAPSES,
  stated: STATED_LAPSES,
  figures: {
    proofKeepsMs: PROOF_KEEPS_MS,
    rollCallKeepsMs: ROLL_CALL_KEEPS_MS,
    knownGapMs: KNOWN_GAP_MS,
    longAbsenceMinutes: LONG_ABSENCE_MINUTES,
    casePassVolts: CASE_PASS_VOLTS,
    caseStopVolts: CASE_STOP_VOLTS,
  },
  words: WORDS,
} as const;
