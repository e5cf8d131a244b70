/** Joining by a code, as the panel of it asks for it; the page of the job fills it in. */
export interface ShownCode {
  /** As it is read aloud and typed: `7QF2-KM9X-AP3T`. */
  readonly code: string;
  /** What the square code leads to. */
  readonly address: string;
  /** Where the code is typed on the other device. */
  readonly typedAt: string;
  /** RFC 3339. */
  readonly until: string;
}

export interface Codes {
  readonly shown: ShownCode | undefined;
  /** The code that is shown lets nobody in any more. */
  readonly over: boolean;
  /** Who has signed it; they still choose a PIN for this device. */
  readonly joiner: { readonly name: string; readonly competence: readonly string[] } | undefined;
  /** Why the last answer was not taken. */
  readonly says: string | undefined;
  readonly busy: boolean;
  /** Shows the code that is good now, or a new one. */
  show(fresh?: boolean): Promise<void>;
  /** Takes an answer: its address or its text. */
  take(said: string): Promise<void>;
  /** Whether they are on the job now. */
  join(pin: string): Promise<boolean>;
}
