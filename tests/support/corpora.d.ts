/** Packages that come without types of their own. */
declare module 'big-list-of-naughty-strings' {
  const strings: readonly string[];
  export default strings;
}
declare module 'hypercore' {
  export default class Hypercore {
    constructor(folder: string);
    ready(): Promise<void>;
    append(block: Uint8Array): Promise<unknown>;
    close(): Promise<void>;
  }
}
