/** A firm's own settings for one step, as typed, and what came of them. */
export interface HouseAsked {
  readonly firm: string;
  readonly officer: string;
  readonly step: string;
  readonly least: string;
  readonly most: string;
  readonly keeps: string;
  /** A lapse, or empty. */
  readonly unless: string;
  readonly people: string;
  /** Codes with commas between. */
  readonly languages: string;
}

export interface HouseAnswer {
  /** Sentences; nothing was written when there is one. */
  readonly refused: readonly string[];
  readonly applied: readonly string[];
}
