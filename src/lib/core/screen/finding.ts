/** A second look: a question to a person with the figures behind it. Never a verdict. */

/** The rules that can be computed from a record. */
export const RULES = [
  'D1',
  'D2',
  'D3',
  'D5',
  'D7',
  'D8',
  'D9',
  'D10',
  'D11',
  'D12',
  'D13',
  'D14',
  'D15',
  'D16',
  'D17',
  'D18',
  'D20',
  'D21',
  'D22',
] as const;
export type Rule = (typeof RULES)[number];

/** What our records do not hold, and so nobody is asked about. */
export const NOT_COMPUTED: Readonly<Record<string, string>> = {
  D4: 'A record does not say where on the site a person stood.',
  D6: 'No code of the day is put into photos yet.',
  D19: 'No release of a charge is taken without the reading of what is left, so the rule cannot hold.',
  D23: 'Photos are kept without the data of the camera, which could tell where somebody lives.',
  D24: 'No list of outages is read.',
};

export interface Finding {
  readonly rule: Rule;
  /** `note`: only to know. `look`: look at the record first. `ask`: ask the person. */
  readonly weight: 'note' | 'look' | 'ask';
  /** The job it is about; the last of several. */
  readonly job: string;
  /** Other jobs that it rests on. */
  readonly jobs: readonly string[];
  /** Whom to ask; they answer first. */
  readonly person: string;
  readonly steps: readonly string[];
  /** By name, as in the words of the rule. */
  readonly figures: Readonly<Record<string, number | string>>;
}
