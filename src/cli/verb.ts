// What a verb of the command line is. Each lives in a file of its own, verbs/<verb>.ts, and is that
// file's default export; adding the file adds the verb.

/** Exit statuses: it holds; it does not (a problem, a refusal, a failed check); unusable input. */
export const holds = 0;
export const doesNotHold = 1;
export const unusable = 2;

export interface Verb {
  /** What it does, in a few words, without a full stop. */
  readonly summary: string;
  /** Everything after `stillwire`, as typed: `check FILE… [--json]`. */
  readonly usage: string;
  /** A whole command that works in the repository: `stillwire check checklists/x.yaml`. */
  readonly example: string;
  /** One line for each flag, when the usage line does not say it all. */
  readonly details?: readonly string[];
  /**
   * @param args what was typed after the verb; `--help` never arrives here
   * @returns the exit status
   * @throws Unusable when the input cannot be used
   */
  run(args: string[], io: Io): Promise<number>;
}

/** Where a verb speaks; a test passes its own. */
export interface Io {
  /** Standard output, for people. A line end is added. */
  print(text: string): void;
  /** Standard output, the one JSON document of `--json`. */
  printJson(document: unknown): void;
  /** Standard error. A line end is added. */
  complain(text: string): void;
  /** Standard error, when that is a terminal: replaces the last progress line. */
  progress(text: string): void;
}

/** The input cannot be used: one plain sentence, said on standard error; exit status 2. */
export class Unusable extends Error {
  override readonly name = 'Unusable';
}
