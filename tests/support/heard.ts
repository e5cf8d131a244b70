import type { Io } from '../../src/cli/verb.ts';

export interface Heard {
  io: Io;
  /** What was printed for people, line by line. */
  printed: string[];
  /** The documents of `--json`. */
  documents: unknown[];
  /** What was said on standard error. */
  complaints: string[];
}

/** Streams that keep what a verb says. */
export function heard(): Heard {
  const printed: string[] = [];
  const documents: unknown[] = [];
  const complaints: string[] = [];
  const io: Io = {
    print: (text) => void printed.push(...text.split('\n')),
    // As it would arrive: what JSON leaves out is gone.
    printJson: (document) => void documents.push(JSON.parse(JSON.stringify(document))),
    complain: (text) => void complaints.push(text),
    progress: () => {},
  };
  return { io, printed, documents, complaints };
}
