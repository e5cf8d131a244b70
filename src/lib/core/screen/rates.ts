/**
 * How often each rule asks about the jobs of a made-up crew, in percent: what the officer's page shows
 * beside the rules. A test makes the crew anew and holds these figures to it.
 *
 * The ways of working are assumptions: the rates say that a rule does what its sentence says, not how
 * often it errs on people.
 */
import type { Rule } from './finding.ts';

/** Of the made-up crew: 300 honest jobs, of which 200 are learned from, and 20 of each other way. */
export const MADE_CREW = { seed: 20_261_128, honest: 300, each: 20 } as const;

/** Ways of working that a made-up crew invents. */
export const FAKED = ['van', 'invented', 'copied', 'rollback'] as const;
export type Rates = Readonly<Record<'honest' | (typeof FAKED)[number], number>>;

const NEVER: Rates = { honest: 0, van: 0, invented: 0, copied: 0, rollback: 0 };

/** Rules that are not named here asked about none of these jobs. */
const ASKED: Readonly<Partial<Record<Rule, Rates>>> = {
  D1: { ...NEVER, van: 100, invented: 100 },
  D2: { ...NEVER, van: 50, invented: 100 },
  D3: { ...NEVER, invented: 100 },
  D5: { ...NEVER, copied: 100 },
  D7: { ...NEVER, copied: 100 },
  D11: { ...NEVER, rollback: 100 },
};

export const ratesOf = (rule: Rule): Rates => ASKED[rule] ?? NEVER;
