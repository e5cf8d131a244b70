/** Made at build time by `setup/shelf.mjs` from the folder `checklists`. */
declare module 'virtual:shelf' {
  import type { Terms } from 'virtual:shelf/terms';

  export interface ShelfWords {
    readonly title: string;
    readonly scope: string;
  }

  export interface ShelfEntry {
    readonly id: string;
    readonly file: string;
    readonly revision: number;
    readonly language: string;
    readonly competence: readonly string[];
    /** By language; always in the checklist's own. */
    readonly words: Readonly<Record<string, ShelfWords>>;
    /** Of a list that was not shipped; those of the shelf are in `virtual:shelf/terms`. */
    readonly terms?: Readonly<Record<string, Terms>>;
  }

  export const shelf: readonly ShelfEntry[];
}

/** How to come by the files; apart, because the list of jobs needs none. */
declare module 'virtual:shelf/texts' {
  /** The files as written, by name, fetched when called. */
  export const texts: Readonly<Record<string, () => Promise<{ readonly default: string }>>>;
  /** By checklist, the commands of an accident that it stops, fetched when called. */
  export const accidents: Readonly<Record<string, () => Promise<{ readonly default: string }>>>;
}

/** What has to be read before a checklist is started. */
declare module 'virtual:shelf/terms' {
  export interface Terms {
    readonly defer: string;
    readonly licensed: string;
  }

  /** By checklist and language; always in the checklist's own. */
  export const terms: Readonly<Record<string, Readonly<Record<string, Terms>>>>;
}
